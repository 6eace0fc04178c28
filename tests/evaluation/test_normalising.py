"""Each line from the quoted price to the evaluated one, worked by hand."""

import pytest

from tests.evaluation.samples import bidder, evaluated, result


def line(evaluation, name, key):
    found = result(evaluation, name)
    return found.lines[key], found.reasons.lines[key].basis


def item(evaluation, name, key):
    found = result(evaluation, name)
    return found.items[key], found.reasons.items[key].basis


def approx(value):
    return pytest.approx(value, rel=1e-12)


def test_a_complete_offer_in_the_currency_of_comparison_is_evaluated_as_read():
    found = result(evaluated(bidder("A")), "A")
    assert (found.as_read, found.evaluated) == (100_000, 100_000)
    assert sum(found.lines.values()) == 100_000


def test_every_line_of_a_worked_offer():
    # (182,000 + 3,000) EUR less 2 % at 1.10: 199,430 USD; 11 %: 21,937.30; 1.5 % of 221,367.30: 3,320.5095;
    # taxes 4,000 EUR: 4,400; items 9,000 quoted and 5,000 from the other; 2 weeks late: 1 % = 1,994.30;
    # 15 points above the allowed advance at 8 % for 22/52 years: 29,914.50 * 0.08 * 22/52 = 1,012.4907...
    evaluation = evaluated(
        bidder(
            "A",
            currency="EUR",
            fob=182_000,
            corrections=3_000,
            discount_percent=2,
            taxes=4_000,
            freight_insurance=None,
            inland=None,
            items={"factory test": None, "licence": 9_000},
            weeks=22,
            advance_percent=25,
        ),
        bidder("B", items={"factory test": 5_000, "licence": "included"}),
    )
    found = result(evaluation, "A")
    assert found.lines == {
        "fob": approx(199_430),
        "taxes": approx(4_400),
        "freight_insurance": approx(21_937.30),
        "inland": approx(3_320.5095),
        "items": approx(14_000),
        "late": approx(1_994.30),
        "interest": approx(199_430 * 0.15 * 0.08 * 22 / 52),
    }
    assert found.lines["interest"] == pytest.approx(1_012.49, abs=0.005)
    assert found.evaluated == approx(246_094.6002692308)
    assert found.as_read == approx(199_430 + 4_400 + 9_000)
    assert evaluation.open_points == ()


@pytest.mark.parametrize(
    ("corrections", "discount", "fob"),
    [(0, 0, 100_000), (-10_000, 0, 90_000), (0, 10, 90_000), (10_000, 10, 99_000), (0, 100, 0)],
)
def test_corrections_come_before_the_discount(corrections, discount, fob):
    evaluation = evaluated(bidder("A", corrections=corrections, discount_percent=discount))
    assert line(evaluation, "A", "fob") == (approx(fob), "quoted")


def test_everything_but_the_items_is_in_the_currency_of_the_bidder():
    evaluation = evaluated(
        bidder(
            "A",
            currency="EUR",
            corrections=1_000,
            taxes=200,
            freight_insurance=300,
            inland=400,
            items={"factory test": 500, "licence": 0},
        )
    )
    assert result(evaluation, "A").lines == {
        "fob": approx(111_100),
        "taxes": approx(220),
        "freight_insurance": approx(330),
        "inland": approx(440),
        "items": 500,
        "late": 0,
        "interest": 0,
    }


@pytest.mark.parametrize(
    ("freight", "inland", "expected"),
    [
        (None, None, (11_000, 1_665, 112_665)),
        (5_000, None, (5_000, 1_575, 106_575)),  # inland follows the freight that was quoted
        (None, 700, (11_000, 700, 111_700)),
        (0, 0, (0, 0, 100_000)),  # quoted as 0 is quoted
    ],
)
def test_freight_and_inland_carriage(freight, inland, expected):
    evaluation = evaluated(bidder("A", freight_insurance=freight, inland=inland))
    found = result(evaluation, "A")
    lines = (found.lines["freight_insurance"], found.lines["inland"], found.evaluated)
    assert lines == tuple(map(approx, expected))
    assert found.as_read == approx(100_000 + (freight or 0) + (inland or 0))


def test_a_percentage_is_of_the_price_after_corrections_and_discount():
    evaluation = evaluated(bidder("A", corrections=20_000, discount_percent=50, freight_insurance=None))
    assert line(evaluation, "A", "freight_insurance") == (approx(6_600), "percentage")


@pytest.mark.parametrize("part", ["taxes", "freight_insurance", "inland"])
class TestPartWithoutRule:
    RULES = {"freight_insurance_percent_of_fob": None, "inland_percent_of_cif": None}

    def test_that_nobody_quoted_is_nothing(self, part):
        evaluation = evaluated(bidder("A", **{part: None}), bidder("B", **{part: None}), **self.RULES)
        assert line(evaluation, "A", part) == (0, "not_applied")
        assert evaluation.open_points == ()

    def test_that_another_offer_has_stays_open(self, part):
        evaluation = evaluated(bidder("A", **{part: None}), bidder("B", **{part: 9}), **self.RULES)
        assert line(evaluation, "A", part) == (None, "open")
        assert result(evaluation, "A").evaluated is None
        assert [(point.bidder, point.needs) for point in evaluation.open_points] == [("A", part)]


def test_inland_carriage_as_a_share_of_an_open_freight_is_open():
    evaluation = evaluated(
        bidder("A", freight_insurance=None, inland=None),
        bidder("B", freight_insurance=9),
        freight_insurance_percent_of_fob=None,
    )
    assert line(evaluation, "A", "inland") == (None, "open")
    assert len(evaluation.open_points) == 1


class TestItems:
    @pytest.mark.parametrize("answer", [None, "by others"])
    def test_not_quoted_or_by_others_takes_the_highest_quote_of_the_others(self, answer):
        evaluation = evaluated(
            bidder("A", items={"factory test": answer, "licence": 0}),
            bidder("B", items={"factory test": 4_000, "licence": 0}),
            bidder("C", items={"factory test": 6_000, "licence": 0}),
        )
        assert item(evaluation, "A", "factory test") == (6_000, "highest_quote")
        assert "C" in result(evaluation, "A").reasons.items["factory test"].how
        assert result(evaluation, "A").as_read == 100_000

    def test_an_item_that_is_left_out_of_the_offer_is_not_quoted(self):
        evaluation = evaluated(
            bidder("A", items={}), bidder("B", items={"factory test": 4_000, "licence": 2_000})
        )
        assert result(evaluation, "A").items == {"factory test": 4_000, "licence": 2_000}

    def test_included_is_0(self):
        evaluation = evaluated(
            bidder("A", items={"factory test": "included", "licence": 0}),
            bidder("B", items={"factory test": 4_000, "licence": 0}),
        )
        assert item(evaluation, "A", "factory test") == (0, "included")
        assert result(evaluation, "A").evaluated == 100_000

    def test_the_highest_bidder_pays_the_own_price(self):
        evaluation = evaluated(
            bidder("A", items={"factory test": 9_000, "licence": 0}),
            bidder("B", items={"factory test": 4_000, "licence": 0}),
        )
        assert item(evaluation, "A", "factory test") == (9_000, "quoted")

    @pytest.mark.parametrize("others", ["included", "by others", None, 0])
    def test_an_item_that_nobody_priced_takes_the_estimate(self, others):
        evaluation = evaluated(
            bidder("A", items={"licence": 0}),
            bidder("B", items={"factory test": others, "licence": 0}),
            estimates={"factory test": 8_000},
        )
        assert item(evaluation, "A", "factory test") == (8_000, "estimate")

    def test_a_quote_of_another_comes_before_the_estimate(self):
        evaluation = evaluated(
            bidder("A", items={"licence": 0}),
            bidder("B", items={"factory test": 4_000, "licence": 0}),
            estimates={"factory test": 8_000},
        )
        assert item(evaluation, "A", "factory test") == (4_000, "highest_quote")

    @pytest.mark.parametrize("others", ["included", "by others", None, 0])
    def test_without_quote_and_estimate_the_price_is_open_and_never_0(self, others):
        evaluation = evaluated(
            bidder("A", items={"licence": 0}), bidder("B", items={"factory test": others, "licence": 0})
        )
        found = result(evaluation, "A")
        assert item(evaluation, "A", "factory test") == (None, "open")
        assert (found.lines["items"], found.evaluated, found.ranked) == (None, None, False)
        assert found.as_read == 100_000
        assert found.unranked_because == "the evaluated price is open"
        assert "A" not in [row.name for ranking in evaluation.rankings for row in ranking.rows]
        point = evaluation.open_points[0]
        assert (point.bidder, point.needs) == ("A", 'settings.estimates["factory test"]')
        assert '"factory test"' in point.text


class TestLateness:
    @pytest.mark.parametrize(
        ("weeks", "late"), [(0, 0), (19, 0), (20, 0), (21, 500), (22.5, 1_250), (40, 10_000)]
    )
    def test_half_a_percent_a_week_after_the_needed_weeks(self, weeks, late):
        assert line(evaluated(bidder("A", weeks=weeks)), "A", "late") == (approx(late), "rule")

    @pytest.mark.parametrize(("weeks", "late"), [(23, 1_500), (24, 2_000), (25, 2_000), (90, 2_000)])
    def test_a_cap_limits_the_weeks(self, weeks, late):
        found = line(evaluated(bidder("A", weeks=weeks), late_weeks_cap=4), "A", "late")
        assert found == (approx(late), "rule")

    def test_a_cap_of_0_counts_no_week(self):
        assert line(evaluated(bidder("A", weeks=30), late_weeks_cap=0), "A", "late") == (0, "rule")

    def test_no_delivery_time_is_open(self):
        evaluation = evaluated(bidder("A", weeks=None))
        assert line(evaluation, "A", "late") == (None, "open")
        assert [point.needs for point in evaluation.open_points] == ["weeks"]

    def test_without_a_percentage_no_delivery_time_is_needed(self):
        evaluation = evaluated(bidder("A", weeks=None), late_percent_per_week=None)
        assert line(evaluation, "A", "late") == (0, "not_applied")
        assert evaluation.open_points == ()

    def test_a_percentage_without_needed_weeks_is_an_open_point_of_the_purchaser(self):
        evaluation = evaluated(bidder("A", weeks=90), needed_weeks=None)
        assert line(evaluation, "A", "late") == (0, "not_applied")
        assert [(point.needs, point.ask) for point in evaluation.open_points] == [
            ("settings.needed_weeks", "purchaser")
        ]


class TestAdvancePayment:
    @pytest.mark.parametrize(
        ("advance", "interest"),
        [
            (0, 0),
            (10, 0),  # what is allowed costs nothing
            (11, 1_000 * 0.08 * 26 / 52),
            (30, 800),  # 20 % of 100,000 at 8 % for half a year
            (100, 3_600),
        ],
    )
    def test_interest_on_what_is_above_the_allowed_advance(self, advance, interest):
        evaluation = evaluated(bidder("A", advance_percent=advance, weeks=26), needed_weeks=26)
        assert line(evaluation, "A", "interest") == (approx(interest), "rule")

    def test_without_an_allowance_the_whole_advance_bears_interest(self):
        evaluation = evaluated(
            bidder("A", advance_percent=10, weeks=26), needed_weeks=26, advance_allowed_percent=None
        )
        assert line(evaluation, "A", "interest") == (approx(400), "rule")

    def test_without_an_interest_rate_no_advance_costs(self):
        evaluation = evaluated(bidder("A", advance_percent=50), interest_percent_per_year=None)
        assert line(evaluation, "A", "interest") == (0, "not_applied")

    def test_unknown_terms_are_open(self):
        evaluation = evaluated(bidder("A", advance_percent=None))
        assert line(evaluation, "A", "interest") == (None, "open")
        assert [point.needs for point in evaluation.open_points] == ["advance_percent"]

    def test_an_advance_over_an_unknown_time_is_open(self):
        evaluation = evaluated(bidder("A", advance_percent=20, weeks=None), late_percent_per_week=0)
        assert line(evaluation, "A", "interest") == (None, "open")
        assert [point.needs for point in evaluation.open_points] == ["weeks"]


def test_rates_without_a_day_are_an_open_point():
    evaluation = evaluated(bidder("A", currency="EUR"), rate_date=None)
    assert [point.needs for point in evaluation.open_points] == ["settings.rate_date"]
    assert evaluated(bidder("A"), rate_date=None).open_points == ()


def test_every_line_says_how_it_came_about():
    found = result(
        evaluated(
            bidder("A", currency="EUR", corrections=-500, discount_percent=3, weeks=33), late_weeks_cap=4
        ),
        "A",
    )
    assert found.reasons.lines.keys() == found.lines.keys()
    assert found.reasons.items.keys() == found.items.keys()
    assert found.reasons.lines["fob"].how == (
        "100,000.00 EUR less corrections of 500.00, less 3 % discount, "
        "at the rate of 2026-10-01: 1 EUR is 1.1 USD"
    )
    assert found.reasons.lines["late"].how == (
        "13 weeks late (33, needed 20), counted as at most 4, 0.5 % of fob a week"
    )
