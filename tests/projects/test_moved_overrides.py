"""Pinions moved or renamed: what was set on them follows and waits until somebody confirms it again."""

import hashlib

import msgspec
import pytest
from django.urls import reverse

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_confirm, override_undo
from specapp.projects.models import Override
from specapp.projects.services import machine_update
from specapp.revisions.content import content_bytes, decided, read_content
from specapp.revisions.gate import OVERRIDE, gate_items
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member
from tests.projects.test_overrides import set_on, url

pytestmark = pytest.mark.django_db
GROUP = "P1/P1-1/radial"


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def machine(project):
    machine = machine_of(project, name="contract_example", sources={})
    set_on(machine, GROUP, "trip", 41.0)
    machine.refresh_from_db()
    return machine


def moved(machine, order, names, **how):
    """Save a machine with its pinions in another order and under other names; None: under none."""
    pinions = []
    for place, name in zip(order, names, strict=True):
        told = {key: value for key, value in machine.description["pinions"][place].items() if key != "name"}
        pinions.append(told | ({"name": name} if name else {}))
    machine_update(
        machine=machine,
        description={**machine.description, "pinions": pinions},
        expected_version=machine.version,
        author=UserFactory(),
        now=NOW,
        **how,
    )
    machine.refresh_from_db()


def only(machine):
    (found,) = machine_proposal(machine).overrides
    return found


def gate(machine):
    return [item.text for item in gate_items(machine_proposal(machine)) if item.kind == OVERRIDE]


NOW_SECOND = "its pinion stood in place 1, now in place 2"


@pytest.mark.parametrize(
    ("order", "names", "item", "notes"),
    [
        (
            [1, 0],
            [None, None],
            "P2/P2-1/radial",
            [f"it was written for {GROUP}, now it stands on P2/P2-1/radial", NOW_SECOND],
        ),
        ([1, 0], ["P2", "P1"], GROUP, [NOW_SECOND]),
        (
            [0, 1],
            ["PHP", "P2"],
            "PHP/PHP-1/radial",
            [f"it was written for {GROUP}, now it stands on PHP/PHP-1/radial"],
        ),
    ],
)
def test_one_that_followed_its_pinion_waits_with_was_and_now_and_blocks_construction(
    order, names, item, notes, machine
):
    assert gate(machine) == []
    moved(machine, order, names, pinions_were=order)
    found = only(machine)
    assert (found.item, found.state, found.note) == (item, "confirm again", "; ".join(notes))
    assert found.value == 41.0
    (blocked,) = gate(machine)
    assert blocked.startswith(f"trip of {item}: confirm again.")
    assert notes[0] in blocked
    assert machine_proposal(machine).verdict.needs_you.endswith("1 override to be confirmed again.")
    entry = AuditEntry.objects.filter(action="decisions.carry").get()
    assert entry.data["confirm_again"] == [[item, "trip", GROUP]]


def test_the_other_pinions_overrides_wait_too_and_those_of_other_shafts_do_not(machine):
    set_on(machine, "P2/P2-2/radial", "alarm", 30.0)
    set_on(machine, "BG/axial", "trip", 0.4)
    machine.refresh_from_db()
    moved(machine, [1, 0], [None, None], pinions_were=[1, 0])
    states = {each.item: each.state for each in machine_proposal(machine).overrides}
    assert states == {
        "P2/P2-1/radial": "confirm again",
        "P1/P1-2/radial": "confirm again",
        "BG/axial": "in force",
    }


def test_confirming_settles_it_where_it_stands_now(machine):
    moved(machine, [1, 0], [None, None], pinions_were=[1, 0])
    row = Override.objects.get(undone_at=None)
    assert (row.item, row.moved_from, row.moved_from_place) == ("P2/P2-1/radial", GROUP, 1)
    person = UserFactory(name="B. Person")
    confirmed = override_confirm(override=row, expected_version=machine.version, author=person, now=NOW)
    machine.refresh_from_db()
    assert (only(machine).state, gate(machine)) == ("in force", [])
    assert (confirmed.moved_from, confirmed.moved_from_place) == ("", None)
    entry = AuditEntry.objects.filter(action="override.confirm").get()
    assert (entry.data["moved_from"], entry.data["item"]) == (GROUP, "P2/P2-1/radial")
    moved(machine, [1, 0], [None, None], pinions_were=[1, 0])
    assert only(machine).state == "confirm again", "what was confirmed there was not confirmed here"


def test_put_back_as_it_was_written_it_stands_again_and_the_content_is_the_same(machine):
    def overrides_frozen():
        content = read_content(content_bytes(machine, decided(machine), machine_proposal(machine)))
        return msgspec.json.encode(content.overrides)

    as_written = overrides_frozen()
    moved(machine, [1, 0], [None, None], pinions_were=[1, 0])
    assert b'"moved_from":"P1/P1-1/radial","moved_from_place":1' in overrides_frozen()
    moved(machine, [0, 1], ["PX", "P1"], pinions_were=[0, 1])
    assert only(machine).item == "P1/P1-1/radial"
    assert only(machine).state == "confirm again", "the name is that it was written for, the place is not"
    moved(machine, [1, 0], ["P1", "P2"], pinions_were=[1, 0])
    assert (only(machine).item, only(machine).state) == (GROUP, "in force")
    assert overrides_frozen() == as_written


def test_it_can_be_undone_where_it_stands_now(machine):
    moved(machine, [1, 0], [None, None], pinions_were=[1, 0])
    row = Override.objects.get(undone_at=None)
    override_undo(override=row, expected_version=machine.version, author=row.author, now=NOW)
    assert machine_proposal(machine).overrides == ()


def test_a_pinion_taken_out_leaves_its_override_listed_and_told(machine):
    left = {**machine.description["pinions"][1], "stages": [1]}
    fewer = {**machine.description, "pinions": [left], "stage_count": 1}
    machine_update(
        machine=machine,
        description=fewer,
        expected_version=machine.version,
        author=UserFactory(),
        now=NOW,
        pinions_were=[1],
    )
    machine.refresh_from_db()
    assert only(machine).state == "item gone"
    assert len(gate(machine)) == 1
    assert "1 override without an item" in machine_proposal(machine).verdict.needs_you


def test_a_description_sent_as_a_whole_tells_pinions_by_their_names(machine):
    """As a program sends it: an order of named pinions is seen, another name is another pinion."""
    names = ["P1", "P2"]
    moved(machine, [0, 1], names)
    assert only(machine).state == "in force"
    moved(machine, [1, 0], names[::-1])
    assert (only(machine).item, only(machine).note) == (GROUP, NOW_SECOND)
    moved(machine, [1, 0], names)
    assert only(machine).state == "in force"
    moved(machine, [1, 0], names)
    assert only(machine).state == "confirm again", "names that were exchanged: another speed goes by P1"
    assert "the shaft turned at" in only(machine).note
    moved(machine, [0, 1], ["PLP", "PHP"])
    assert only(machine).state == "item gone"


def test_content_that_says_nothing_of_moves_is_the_bytes_it_was(machine):
    """Issued content is read and checked as it was stored, by whatever version wrote it."""
    (row,) = decided(machine).overrides
    data = content_bytes(machine, decided(machine), machine_proposal(machine))
    (frozen,) = read_content(data).overrides
    assert list(frozen) == [
        *("item", "field", "value", "reason", "rule_value", "speed_rpm"),
        *("author", "written_at"),
    ]
    assert frozen["item"] == row.item
    again = msgspec.json.encode(read_content(data))
    assert hashlib.sha256(again).digest() == hashlib.sha256(data).digest()
    assert b"moved_from" not in data


def test_the_list_and_the_proposal_say_it_and_confirm_settles_it(machine, project, client):
    client.force_login(member(project, Role.ENGINEER))
    moved(machine, [1, 0], [None, None], pinions_were=[1, 0])
    listed = client.get(url("override-list", machine)).content.decode()
    assert "to be confirmed again" in listed
    assert f"it was written for {GROUP}, now it stands on P2/P2-1/radial" in listed
    shown = client.get(url("machine-show", machine)).content.decode()
    assert shown.count("1 override to be confirmed again") == 2
    point = client.get(url("point-show", machine, "P2/P2-1/radial/Y")).content.decode()
    assert "what was decided followed them; 1 override to be confirmed again" in point
    row = Override.objects.get(undone_at=None)
    address = reverse("projects:override-answer", args=[machine.project_id, machine.pk, row.pk, "confirm"])
    client.post(address, {"version": machine.version})
    assert "to be confirmed again</span>" not in client.get(url("override-list", machine)).content.decode()
