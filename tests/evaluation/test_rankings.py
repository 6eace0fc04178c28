"""Technical score, pass mark, rankings, ties and what turns the lead."""

import pytest

from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.reading import read_bids
from tests.evaluation.samples import bidder, bids, evaluated, order, result


def scored(measurement, integrity):
    return {"Measurement": measurement, "Integrity": integrity}


GOOD, FAIR, POOR = scored(1, 1), scored(0.8, 0.8), scored(0.5, 0.5)


def test_the_technical_score_is_the_sum_of_weight_times_factor():
    assert result(evaluated(bidder("A", factors=scored(0.92, 0.9))), "A").technical == pytest.approx(91.2)


@pytest.mark.parametrize(("factor", "expected"), [(0.7499, False), (0.75, True), (0.7501, True)])
def test_the_pass_mark_is_passed_when_reached(factor, expected):
    found = result(evaluated(bidder("A", factors=scored(factor, factor))), "A")
    assert (found.passes, found.ranked) == (expected, expected)


def test_a_pass_mark_met_but_for_binary_rounding_is_met():
    groups = {f"group {number}": 100 / 7 for number in range(7)}
    factors = dict.fromkeys(groups, 0.7)
    assert result(evaluated(bidder("A", factors=factors), groups=groups, pass_mark=70), "A").passes


def test_without_a_pass_mark_every_offer_is_ranked():
    assert order(evaluated(bidder("A", factors=scored(0, 0)), pass_mark=None)) == ["A"]


def test_without_groups_nothing_is_scored():
    found = result(evaluated(bidder("A", factors={}), groups={}, pass_mark=None), "A")
    assert (found.technical, found.passes, found.ranked) == (None, True, True)


class TestFirstRanking:
    OFFERS = (bidder("A", factors=FAIR), bidder("B", factors=GOOD, fob=125_000))

    def test_by_lowest_evaluated_price_is_at_0_to_100(self):
        evaluation = evaluated(*self.OFFERS)
        assert evaluation.rankings[0].weights == (0, 100)
        assert [(row.rank, row.name, row.combined) for row in evaluation.rankings[0].rows] == [
            (1, "A", pytest.approx(100)),
            (2, "B", pytest.approx(80)),
        ]

    def test_by_weighted_score_is_at_the_weights(self):
        evaluation = evaluated(*self.OFFERS, method="weighted")
        # A 0.7 * 80 + 0.3 * 100 = 86; B 0.7 * 100 + 0.3 * 80 = 94
        assert evaluation.rankings[0].weights == (70, 30)
        assert [(row.rank, row.name, row.combined) for row in evaluation.rankings[0].rows] == [
            (1, "B", pytest.approx(94)),
            (2, "A", pytest.approx(86)),
        ]

    def test_is_followed_by_the_alternatives_in_their_order(self):
        evaluation = evaluated(*self.OFFERS, method="weighted", alternative_weights=[[60, 40], [30, 70]])
        assert [ranked.weights for ranked in evaluation.rankings] == [(70, 30), (60, 40), (30, 70)]
        assert order(evaluation, 2) == ["A", "B"]  # A 24 + 70 = 94; B 30 + 56 = 86

    def test_flips_are_told_in_words(self):
        evaluation = evaluated(*self.OFFERS, method="weighted", alternative_weights=[[60, 40], [30, 70]])
        assert evaluation.flips == ("B leads at 70/30, A at 30/70",)

    def test_no_flip_where_the_lead_stays(self):
        assert evaluated(*self.OFFERS, method="weighted", alternative_weights=[[60, 40]]).flips == ()

    def test_lowest_evaluated_turns_against_alternatives_too(self):
        assert evaluated(*self.OFFERS, alternative_weights=[[70, 30]]).flips == (
            "A leads at 0/100, B at 70/30",
        )


class TestTies:
    def test_equal_scores_share_a_rank_and_say_with_whom(self):
        evaluation = evaluated(bidder("C", fob=125_000), bidder("B"), bidder("A"))
        assert [(row.rank, row.name, row.tied_with) for row in evaluation.rankings[0].rows] == [
            (1, "A", ("B",)),
            (1, "B", ("A",)),
            (3, "C", ()),
        ]

    def test_binary_rounding_breaks_no_tie(self):
        evaluation = evaluated(bidder("B", fob=110_000), bidder("A", currency="EUR"))
        assert [row.rank for row in evaluation.rankings[0].rows] == [1, 1]

    def test_a_cent_in_a_hundred_thousand_breaks_it(self):
        evaluation = evaluated(bidder("B", fob=100_000.01), bidder("A"))
        assert [(row.rank, row.name) for row in evaluation.rankings[0].rows] == [(1, "A"), (2, "B")]

    def test_leaders_that_share_a_rank_are_named_together(self):
        # At 50/50 A has 40 + 50 and B 50 + 40.
        evaluation = evaluated(
            bidder("A", factors=FAIR), bidder("B", fob=125_000), alternative_weights=[[50, 50]]
        )
        assert evaluation.flips == ("A leads at 0/100, A and B at 50/50",)

    def test_several_leaders_lead(self):
        evaluation = evaluated(bidder("A", factors=FAIR), bidder("B"), alternative_weights=[[50, 50]])
        assert evaluation.flips == ("A and B lead at 0/100, B at 50/50",)


class TestBelowThePassMark:
    CHEAP = bidder("cheap", fob=50_000, factors=POOR, items={"factory test": 9_000, "licence": 0})
    GAPPY = bidder("gappy", items={"factory test": None, "licence": 0})
    SOUND = bidder("sound", items={"factory test": 1_000, "licence": 0})

    def test_an_offer_leaves_every_ranking(self):
        evaluation = evaluated(self.CHEAP, self.SOUND, alternative_weights=[[50, 50]])
        assert [order(evaluation, number) for number in (0, 1)] == [["sound"], ["sound"]]
        assert result(evaluation, "cheap").unranked_because == "below the pass mark"

    def test_with_all_its_quotes_load_and_its_price_is_the_lowest(self):
        evaluation = evaluated(self.CHEAP, self.GAPPY, self.SOUND, missing_items_from="all")
        assert result(evaluation, "gappy").items["factory test"] == 9_000
        assert evaluation.lowest == 59_000
        assert evaluation.rankings[0].rows[0].combined == pytest.approx(100 * 59_000 / 101_000)

    def test_with_acceptable_neither(self):
        evaluation = evaluated(self.CHEAP, self.GAPPY, self.SOUND, missing_items_from="acceptable")
        assert result(evaluation, "gappy").items["factory test"] == 1_000
        assert evaluation.lowest == 101_000
        assert [(row.rank, row.combined) for row in evaluation.rankings[0].rows] == [(1, 100), (1, 100)]

    def test_with_acceptable_its_own_gaps_are_loaded_from_those_who_remain(self):
        gappy = bidder("cheap", factors=POOR, items={"licence": 0})
        evaluation = evaluated(gappy, self.SOUND, missing_items_from="acceptable")
        assert result(evaluation, "cheap").evaluated == 101_000

    def test_with_acceptable_it_may_come_without_prices(self):
        unopened = {"name": "unopened", "currency": None, "fob": None, "items": {}, "factors": POOR}
        evaluation = evaluated(unopened, self.SOUND, missing_items_from="acceptable")
        found = result(evaluation, "unopened")
        assert (found.as_read, found.evaluated, found.lines, found.technical) == (None, None, {}, 50)
        assert (evaluation.lowest, evaluation.open_points) == (101_000, ())

    def test_its_gaps_are_no_open_points(self):
        gappy = bidder("cheap", factors=POOR, items={"licence": 0})
        assert evaluated(gappy, bidder("sound")).open_points == ()

    def test_nobody_left_leaves_empty_rankings(self):
        evaluation = evaluated(bidder("A", factors=POOR), missing_items_from="acceptable")
        assert (order(evaluation), evaluation.lowest, evaluation.flips) == ([], None, ())


class TestRemovingABidder:
    def test_recomputes_the_loads_taken_from_it_and_the_lowest_price(self):
        dear = bidder("dear", items={"factory test": 9_000, "licence": 0}, fob=80_000)
        sound = bidder("sound", items={"factory test": 1_000, "licence": 0})
        gappy = bidder("gappy", items={"licence": 0})
        before, after = evaluated(dear, sound, gappy), evaluated(sound, gappy)
        assert (result(before, "gappy").evaluated, before.lowest) == (109_000, 89_000)
        assert (result(after, "gappy").evaluated, after.lowest) == (101_000, 101_000)

    def test_may_leave_an_item_without_any_quote(self):
        sound = bidder("sound", items={"factory test": 1_000, "licence": 0})
        gappy = bidder("gappy", items={"licence": 0})
        assert evaluated(sound, gappy).open_points == ()
        assert len(evaluated(gappy).open_points) == 1


def test_two_offers_at_a_discount_of_100_percent_are_equal():
    evaluation = evaluated(bidder("A", discount_percent=100), bidder("B", discount_percent=100), bidder("C"))
    assert [(row.rank, row.combined) for row in evaluation.rankings[0].rows] == [(1, 100), (1, 100), (3, 0)]


def test_an_open_price_gives_no_lowest_price():
    cheap_but_open = bidder("open", fob=1, items={"licence": 0})
    evaluation = evaluate(read_bids(bids(cheap_but_open, bidder("sound"))))
    assert evaluation.lowest == 100_000


def test_the_smallest_document_is_evaluated():
    offers = [{"name": "B", "currency": "USD", "fob": 7}, {"name": "A", "currency": "USD", "fob": 5}]
    evaluation = evaluate(read_bids({"settings": {"currency": "USD"}, "bidders": offers}))
    assert [each.evaluated for each in evaluation.bidders] == [7, 5]
    assert (order(evaluation), evaluation.flips, evaluation.open_points) == (["A", "B"], (), ())
