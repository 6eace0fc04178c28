"""Checklists from the proposal: every channel, delay, vote, fault and supply, and the sheets that print
them."""

import pytest

from specapp.bench.checklists import checklist
from specapp.documents.commissioning_checklist import render_factory, render_site
from specapp.documents.options import Options
from tests.bench.ground import proposal_of
from tests.documents.reading import text_of


@pytest.fixture(scope="module")
def factory():
    return {item.key: item for item in checklist(proposal_of(), "factory")}


@pytest.fixture(scope="module")
def site():
    return {item.key: item for item in checklist(proposal_of(), "site")}


def test_keys_are_distinct_and_numbers_have_bounds(factory, site):
    for stage in ("factory", "site"):
        items = checklist(proposal_of(), stage)
        assert len({item.key for item in items}) == len(items)
        for item in items:
            assert (item.entry == "number") == (item.low is not None or item.high is not None), item.key
            assert item.low is None or item.high is None or item.low < item.high, item.key


def test_every_channel_delay_fault_and_vote(factory):
    proposal = proposal_of()
    for point in proposal.points:
        assert f"factory/{point.key}/fault open" in factory
        for name in ("alarm", "trip"):
            setpoint = getattr(point.setpoints, name)
            if setpoint is None:
                assert f"factory/{point.key}/{name} delay" not in factory
                continue
            delay = factory[f"factory/{point.key}/{name} delay"]
            assert delay.low == pytest.approx(setpoint.delay.value - 0.05)
            assert delay.high == pytest.approx(setpoint.delay.value + 0.1)
    groups = {point.voting_group for point in proposal.points if point.setpoints.trip}
    assert {item.subject for item in factory.values() if item.part == "votes"} == groups


def test_votes_say_what_the_vote_does(factory):
    assert "1oo2: trip" in factory["factory/P1/P1-1/radial/vote trip-normal"].expected
    assert "2oo2: no trip" in factory["factory/BG/axial/vote trip-normal"].expected
    assert "2oo2: trip" in factory["factory/BG/axial/vote fault-fault"].expected
    assert "1oo2: no trip" in factory["factory/P1/P1-1/radial/vote fault-fault"].expected


def test_axial_setpoints_are_tried_on_both_sides(factory):
    low, high = factory["factory/BG/axial/A/trip low"], factory["factory/BG/axial/A/trip high"]
    assert (low.low + low.high) / 2 == pytest.approx(-0.43)
    assert (high.low + high.high) / 2 == pytest.approx(0.43)


def test_loss_of_all_supplies_trips_what_drops(factory):
    """This machine has a SIL target: its trip relays are de-energised to trip."""
    item = factory["factory/R-1/all supplies lost"]
    assert "R-1/trip_radial" in item.expected
    assert "The machine trips" in item.expected
    assert "no trip" in factory["factory/R-1/supply 1 lost"].expected


def test_site_items_of_probes_and_elements(site):
    gap = site["site/P1/P1-1/radial/Y/gap voltage"]
    assert (gap.low, gap.high) == (-11.0, -9.0)
    runout = site["site/P1/P1-1/radial/Y/slow-roll runout"]
    assert runout.high == pytest.approx(6.35)
    assert "site/BG/axial/A/float bump test" in site
    assert site["site/P1/phase/pulse height"].low == 6.0
    assert site["site/P1/P1-1/temperature/A/element"].high == pytest.approx(0.425)
    trips = [row.cause for row in proposal_of().cause_and_effect if row.level == "trip"]
    assert {item.subject for item in site.values() if item.part == "final elements"} == set(trips)


def test_transmitters_have_their_loops_checked():
    items = {item.key: item for item in checklist(proposal_of("minimal_packaged"), "site")}
    half = items["site/P1/P1-1/radial/Y/loop 50"]
    assert (half.low, half.high) == pytest.approx((11.84, 12.16))


def test_another_stage_is_refused():
    with pytest.raises(ValueError, match="factory and site"):
        checklist(proposal_of(), "shop")


def test_checklists_print_every_item(factory, site):
    for render, items in ((render_factory, factory), (render_site, site)):
        data = render(proposal_of("minimal_packaged"), Options())
        assert data == render(proposal_of("minimal_packaged"), Options())
        stage = next(iter(items.values())).stage
        wanted = checklist(proposal_of("minimal_packaged"), stage)
        text = text_of(data)
        assert f"{len(wanted)} " in text
        for item in wanted[:: max(1, len(wanted) // 8)]:
            assert item.subject in text
