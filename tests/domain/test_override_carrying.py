"""Overrides follow their pinions, and nothing that rests on one changes unseen."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.domain.override_carrying import PinionOrders, carry_overrides, follow_pinions
from specapp.domain.overrides import Override
from specapp.domain.proposal import Proposal
from specapp.rulebook.proposing import propose_document
from tests.rulebook.moved import sample

NAMES = ("P1", "P2", "P11", "PA")
KEYS = [
    key
    for name in NAMES
    for key in (
        f"{name}/{name}-1/radial",
        f"{name}/{name}-2/temperature/A",
        f"{name}/phase",
        f"{name}/axial/A",
    )
] + ["BG/B1/radial", "M1/radial/Y", "BG/axial"]


def _override(item: str, field: str = "trip", **known: Any) -> Override:
    return Override(item, field, 40.0, "invented", "A. Tester", "2026-03-02T09:30:00", **known)


@given(st.permutations(NAMES), st.lists(st.sampled_from(KEYS)))
def test_there_and_back_is_where_it_was(order: list[str], keys: list[str]) -> None:
    overrides = tuple(_override(key) for key in keys)
    there = carry_overrides(overrides, NAMES, order)
    assert carry_overrides(there, order, NAMES) == overrides
    assert len({item.item for item in there}) == len(set(keys))


@given(st.lists(st.permutations(NAMES), min_size=1, max_size=4), st.lists(st.sampled_from(KEYS), unique=True))
def test_however_pinions_are_moved_what_stands_elsewhere_says_where_it_was_written(
    steps: list[list[str]], keys: list[str]
) -> None:
    """Names change places under the pinions, which stay in their order, and at last all go back at once."""
    written = tuple(_override(key) for key in keys)
    overrides, names = written, tuple(NAMES)
    for step in [*steps, list(NAMES)]:
        overrides = follow_pinions(overrides, PinionOrders(names, tuple(step), tuple(range(len(names)))))
        names = tuple(step)
        for was, now in zip(written, overrides, strict=True):
            assert now.moved_from == ("" if now.item == was.item else was.item)
    assert overrides == written


@given(st.permutations(range(len(NAMES))), st.sampled_from(KEYS))
def test_a_pinion_in_another_order_marks_its_overrides_though_its_name_stays(
    order: list[int], key: str
) -> None:
    names = tuple(NAMES[place] for place in order)
    (found,) = follow_pinions([_override(key)], PinionOrders(names, names, tuple(order)))
    stands = {name: (place, number) for number, (place, name) in enumerate(zip(order, names, strict=True))}
    was, now = stands.get(key.partition("/")[0], (0, 0))
    assert found.item == key
    assert (found.moved_from, found.moved_from_place) == (("", None) if was == now else (key, was + 1))


def test_one_that_moves_up_for_one_taken_out_under_its_own_name_is_not_moved() -> None:
    orders = PinionOrders(("P2", "P3", "P1"), ("P2", "P3", None), (1, 2, 0))
    assert orders.moved == {}
    assert PinionOrders(("P2", "P3", "P1"), ("P1", "P2", None), (1, 2, 0)).moved == {
        "P2": (1, 0),
        "P3": (2, 1),
    }


def test_a_swap_exchanges_both_at_once() -> None:
    found = carry_overrides(
        [_override("P1/P1-1/radial"), _override("P2/P2-2/radial/X", "angle")], ["P1", "P2"], ["P2", "P1"]
    )
    assert [item.item for item in found] == ["P2/P2-1/radial", "P1/P1-2/radial/X"]


def test_only_whole_names_are_exchanged() -> None:
    found = carry_overrides([_override("P11/P11-1/radial"), _override("BG/B1/radial")], ["P1"], ["PX"])
    assert [item.item for item in found] == ["P11/P11-1/radial", "BG/B1/radial"]


def test_an_override_of_a_pinion_taken_out_is_never_taken_for_its_successors() -> None:
    found = carry_overrides(
        [_override("P1/P1-1/radial"), _override("P2/P2-1/radial")], ["P1", "P2"], [None, "P1"]
    )
    assert [item.item for item in found] == ["P1 (taken out)/P1-1/radial", "P1/P1-1/radial"]


@pytest.mark.parametrize(("old", "new"), [(["P1"], ["P1", "P2"]), (["P1", "P2"], ["P3", "P3"])])
def test_orders_that_do_not_belong_together_are_refused(old: list[str], new: list[str]) -> None:
    with pytest.raises(ValueError, match="pinions"):
        carry_overrides([], old, new)


def _unnamed_and_swapped() -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the sample with pinions that go by their place, and the same with the first two swapped."""
    document = sample("eight_stage")
    for pinion in document["pinions"]:
        del pinion["name"]
    swapped = copy.deepcopy(document)
    pinions = swapped["pinions"]
    pinions[0], pinions[1] = pinions[1], pinions[0]
    return document, swapped


def _remembered(proposal: Proposal, group: str) -> dict[str, Any]:
    """Return what an override written now would remember."""
    point = next(point for point in proposal.points if point.voting_group == group)
    speed = next(shaft.speed for shaft in proposal.shafts if shaft.name == point.shaft)
    assert point.setpoints.trip is not None
    assert speed is not None
    return {"rule_value": point.setpoints.trip.value, "speed_rpm": speed.value}


def test_swapping_two_pinions_changes_no_override_silently() -> None:
    document, swapped = _unnamed_and_swapped()
    before = propose_document(document)
    written = _override("P1/P1-1/radial", **_remembered(before, "P1/P1-1/radial"))
    (as_it_was,) = propose_document(document, overrides=[written]).overrides
    assert as_it_was.state == "in force"
    (left,) = propose_document(swapped, overrides=[written]).overrides
    assert left.state == "confirm again"
    assert "10479" in left.note
    carried = carry_overrides([written], ["P1", "P2", "P3", "P4"], ["P2", "P1", "P3", "P4"])
    after = propose_document(swapped, overrides=carried)
    (moved,) = after.overrides
    assert (moved.item, moved.state) == ("P2/P2-1/radial", "in force")
    trips = {p.voting_group: p.setpoints.trip.value for p in after.points if p.setpoints.trip is not None}
    assert (trips["P2/P2-1/radial"], trips["P2/P2-2/radial"]) == (
        40.0,
        _remembered(before, "P1/P1-2/radial")["rule_value"],
    )


def test_an_override_of_a_pinion_taken_out_is_listed_as_gone() -> None:
    document = sample("eight_stage")
    document["pinions"].pop()
    document["stage_count"] = 6
    (gone,) = propose_document(document, overrides=[_override("P4/P4-1/radial")]).overrides
    assert gone.state == "item gone"
