"""Pinions known again where they stand otherwise or go by other names: only real differences are left."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from specapp.domain.overrides import Override
from specapp.domain.proposal import Proposal, proposal_bytes
from specapp.rulebook.comparison import ComparedSide, Comparison, compare, compare_sides
from specapp.rulebook.fact_names import pinion_names
from specapp.rulebook.followed_pinions import PinionsWere, followed
from specapp.rulebook.proposing import propose_description, propose_document
from tests.generated_machines import machines
from tests.rulebook.moved import CRITERIA, read, sample

RUNS = settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
# What counts boxes, racks and their places by the order of the pinions, and tags, which hold their names.
BY_ORDER = {"tag", "tags", "junction_box"}


def _moved(document: dict[str, Any], were: list[int], names: list[str]) -> dict[str, Any]:
    """Return a document with its pinions in another order and under other names."""
    pinions = [{**document["pinions"][place], "name": name} for place, name in zip(were, names, strict=True)]
    return {**copy.deepcopy(document), "pinions": pinions}


def _told(before: Proposal, after: Proposal, were: list[int | None]) -> Comparison:
    pinions = PinionsWere(pinion_names(before.machine), pinion_names(after.machine), tuple(were))
    return compare_sides(ComparedSide(before, pinions), ComparedSide(after))


@RUNS
@given(machines(), st.data())
def test_moving_and_renaming_pinions_changes_only_order_and_names(
    document: dict[str, Any], data: st.DataObject
) -> None:
    stages = {line.name: list(line.stages) for line in propose_document(copy.deepcopy(document)).shafts}
    for pinion, name in zip(document["pinions"], pinion_names(document), strict=True):
        pinion["stages"] = stages[name]  # untold stages are counted through in the order of the pinions
    places = list(range(len(document["pinions"])))
    were = data.draw(st.permutations(places))
    names = data.draw(st.permutations([*(f"P{place + 1}" for place in places), "PHP", "Pump"]))[: len(were)]
    assume(were != places or names != list(pinion_names(document)))
    found = _told(propose_document(document), propose_document(_moved(document, were, names)), were)
    assert {cause.text.split()[0] for cause in found.causes} <= {*pinion_names(document), "the"}
    assert all(cause.key == "pinions" or cause.key.endswith("].name") for cause in found.causes)
    assert {change.field for change in found.point_fields} <= BY_ORDER
    for subject in ("points", "setpoints", "ranges", "transducers", "assumptions", "shafts", "frequencies"):
        assert getattr(found, subject) == (), subject
    for subject in ("open_points", "process_protection", "bill", "overrides", "conflicts"):
        assert getattr(found, subject) == (), subject


def test_two_that_change_places_are_told_as_that() -> None:
    document = sample("contract_example")
    document.pop("sources")
    before, after = propose_document(document), propose_document(_moved(document, [1, 0], ["P1", "P2"]))
    found = _told(before, after, [1, 0])
    assert [cause.text for cause in found.causes] == ["P2 is now P1", "P1 is now P2"]
    assert {change.field for change in found.changes} == BY_ORDER
    assert len(compare(before, after).causes) > 2, "without that knowledge every field of both differs"


def test_names_that_go_along_leave_the_order() -> None:
    document = sample("contract_example")
    before, after = propose_document(document), propose_document(_moved(document, [1, 0], ["P2", "P1"]))
    causes = [cause.text for cause in _told(before, after, [1, 0]).causes]
    assert causes == [
        "the order of the pinions was P1, P2, is P2, P1",
        "another source is told for the journal diameter of P2, the journal diameter of P1",
    ], "the line of a source names a place, at which another pinion stands now"


@pytest.mark.parametrize(
    ("now", "were", "told"),
    [
        (("P2", "PHP"), (1, 0), ["P1 is now PHP", "the order of the pinions was PHP, P2, is P2, PHP"]),
        (("P1", "P2"), (1, 0), ["P2 is now P1", "P1 is now P2"]),
        (("P2",), (1,), ["P1 is taken out"]),
        (("P1",), (1,), ["P2 is now P1", "P1 is taken out"]),
        (("P1", "P2", "P3"), (0, 1, None), ["P3 is new"]),
        (("P1", "P2"), (0, 1), []),
    ],
)
def test_what_was_done_to_the_pinions_in_words(
    now: tuple[str, ...], were: tuple[int | None, ...], told: list[str]
) -> None:
    assert [cause.text for cause in PinionsWere(("P1", "P2"), now, were).causes()] == told


def test_a_real_difference_stands_below_the_new_name() -> None:
    document = sample("contract_example")
    renamed = _moved(document, [0, 1], ["PHP", "P2"])
    renamed["pinions"][0]["journal_diameter"] = 95
    found = _told(propose_document(document), propose_document(renamed), [0, 1])
    first, *others = [cause.text for cause in found.causes]
    assert first == "P1 is called PHP now"
    assert [text.partition(":")[0] for text in others] == ["the journal diameter of PHP"]
    assert found.points == ()


def test_one_taken_out_and_one_put_between_keep_the_others_known() -> None:
    document = sample("eight_stage")
    speeds = [{"speed": pinion["speed"]} for pinion in document["pinions"]]
    document = {**document, "pinions": speeds, "stage_count": 4, "sources": {}}
    changed = _moved(document, [1, 1, 2, 3], ["P1", "P2", "P3", "P4"])
    changed["pinions"][1] = {"name": "P2", "speed": document["pinions"][3]["speed"]}
    found = _told(propose_document(document), propose_document(changed), [1, None, 2, 3])
    texts = [cause.text for cause in found.causes]
    assert texts[:3] == ["P2 is now P1", "P2 is new", "P1 is taken out"]
    assert not any("of P3" in text or "of P4" in text for text in texts)
    assert {change.item.split("/")[0] for change in found.points if change.was is None} == {"P2"}
    assert {change.item.split("/")[0] for change in found.points if change.now is None} == {"P1 (taken out)"}


def test_overrides_follow_and_keep_their_words() -> None:
    document = sample("contract_example")
    set_by = ("trip", 41.0, "as P1 of the sister", "R. Aho", "2026-03-01T09:00+00:00")
    before, after = (
        propose_description(read(told), CRITERIA, (Override(f"{name}/{name}-1/radial", *set_by),))
        for told, name in ((document, "P1"), (_moved(document, [1, 0], ["P1", "P2"]), "P2"))
    )
    assert _told(before, after, [1, 0]).overrides == ()


@pytest.mark.parametrize("name", ["Pinion", "Probe", "Phase", "P10"])
def test_a_name_like_a_word_is_not_taken_for_the_word(name: str) -> None:
    document = sample("contract_example")
    before = propose_document(_moved(document, [0, 1], [name, "P2"]))
    after = propose_document(_moved(document, [0, 1], ["P1", "P2"]))
    pinions = PinionsWere((name, "P2"), ("P1", "P2"), (0, 1))
    told = followed(before, pinions)
    assert [point.title for point in told.points] == [point.title for point in after.points]
    assert [row.key for row in told.open_points] == [row.key for row in after.open_points]
    assert [check.subject for check in told.checks] == [check.subject for check in after.checks]


def _words_of(proposal: Proposal) -> list[str]:
    """Return every word of a proposal that a pinion could be called, and those begun with a capital."""
    text = proposal_bytes(proposal).decode()
    found = re.findall(r"(?<!\w)[Pp][A-Za-z0-9]{1,11}(?!\w)", text)
    return sorted({word[0].upper() + word[1:] for word in found} - set(pinion_names(proposal.machine)))


@pytest.mark.parametrize("name", ["contract_example", "turbine_driven_hydrogen"])
def test_whatever_word_of_the_proposal_a_pinion_is_called_only_its_name_is_followed(name: str) -> None:
    document = sample(name)
    count = len(document["pinions"])
    there, plain = list(range(count)), [f"P{place + 1}" for place in range(count)]
    after = propose_document(_moved(document, there, plain))
    words = [*_words_of(after), "Pt1000"]
    for first in range(0, len(words), count):
        names = [*words[first : first + count], *plain][:count]
        found = _told(propose_document(_moved(document, there, names)), after, there)
        assert {change.field for change in found.changes} <= BY_ORDER, names
        assert all(" is called " in cause.text for cause in found.causes), names


def test_pinions_where_they_were_leave_the_proposal_as_it_is() -> None:
    before = propose_document(sample("contract_example"))
    names = pinion_names(before.machine)
    assert followed(before, PinionsWere(names, names, (0, 1))) is before
    longer = followed(before, PinionsWere(names, (*names, "P3"), (0, 1, None)))
    assert longer.points is before.points
    assert pinion_names(longer.machine) == (*names, "P3")
    there_and_back = followed(
        followed(before, PinionsWere(names, ("PX", "P1"), (1, 0))), PinionsWere(("PX", "P1"), names, (1, 0))
    )
    assert proposal_bytes(there_and_back) == proposal_bytes(before)
