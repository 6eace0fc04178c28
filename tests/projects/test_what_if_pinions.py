"""The panel after pinions were moved or renamed on the page: what was done to them, and no more."""

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.describing.typed import typed_of
from tests.factories import ProjectFactory, machine_of, member
from tests.projects.test_overrides import set_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine(client):
    project = ProjectFactory()
    client.force_login(member(project, Role.ENGINEER))
    return machine_of(project, name="contract_example", sources={})


def edit(machine):
    return reverse("projects:machine-edit", args=[machine.project_id, machine.pk])


def pressed(client, machine, action):
    """Return what the form holds after one of its buttons."""
    typed = {**typed_of(machine.description), "version": str(machine.version)}
    form = client.post(edit(machine), {**typed, "do": action}).context["form"]
    return {**form._typed, "version": str(machine.version)}


def changes(client, machine, typed):
    return client.post(edit(machine), {**typed, "do": "show"}).context["panel"].changes


def titles(found):
    return [block.title for block in found.blocks]


def test_a_pinion_moved_up_shows_the_order_and_uses_up_no_assumption(client, machine):
    set_on(machine, "P1/P1-1/radial", "trip", 41.0)
    machine.refresh_from_db()
    found = changes(client, machine, pressed(client, machine, "up:pinions[1]"))
    names = [pinion.get("name") for pinion in machine.description["pinions"]]
    if names == ["P1", "P2"]:
        assert found.causes == ("the order of the pinions was P1, P2, is P2, P1",)
    else:
        assert found.causes == ("P2 is now P1", "P1 is now P2")
    assert titles(found) == ["Tags, chains and places", "Overrides"]
    waiting = found.blocks[-1].html()
    assert "41<br><small>in force</small>" in waiting
    assert "41<br><small>to be confirmed again</small><br><small>" in waiting
    assert "its pinion stood in place 1, now in place 2" in waiting
    assert found.others == ()
    assert found.summary.endswith("1 override to be confirmed again.")


def test_a_pinion_renamed_shows_the_names_only(client, machine):
    typed = {**pressed(client, machine, "show"), "pinions[0].name": "PHP", "pinions[1].name": "P2"}
    found = changes(client, machine, typed)
    assert found.causes == ("P1 is called PHP now",)
    assert titles(found) == ["Tags, chains and places"]
    assert found.summary.endswith("points with another tag.")
    assert found.others == ()


def test_what_is_typed_after_a_move_is_told_of_the_pinion_it_is_typed_for(client, machine):
    typed = pressed(client, machine, "up:pinions[1]")
    found = changes(client, machine, {**typed, "pinions[0].axial_float": "0.7 mm"})
    assert len(found.causes) == len(changes(client, machine, typed).causes) + 1
    assert "axial float" in found.causes[-1]


def test_a_pinion_taken_out_is_told_under_its_name(client, machine):
    typed = {**pressed(client, machine, "remove:pinions[1]"), "stage_count": "2"}
    found = changes(client, machine, typed)
    assert found.causes[0] == "P2 is taken out"
    assert "P2, " in found.html()


@pytest.mark.parametrize("was", ["7", "-1", "x", "0"])
def test_a_place_no_pinion_had_makes_it_a_new_one(client, machine, was):
    typed = {**pressed(client, machine, "show"), "pinions[1].was": was}
    found = changes(client, machine, typed)
    assert "P2 is new" in found.causes
    assert "P2 is taken out" in found.causes
