"""What would change: shown before saving, kept for who typed it, equal to a fresh proposal."""

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.describing.typed import typed_of
from specapp.projects.models import DescriptionDraft, Machine
from specapp.projects.presenting.changes import what_if
from tests.factories import ProjectFactory, machine_of, member
from tests.projects.test_overrides import set_on

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


@pytest.fixture
def machine(project):
    return machine_of(project, name="contract_example")


def edit(machine):
    return reverse("projects:machine-edit", args=[machine.project_id, machine.pk])


def form_of(machine, **changed):
    return {**typed_of(machine.description), "version": str(machine.version), **changed}


FASTER = {"pinions[0].speed": "19 000 rpm", "pinions[0].teeth": ""}


def test_the_fragment_says_what_a_fresh_proposal_says_and_saves_nothing(engineer, machine, client):
    before = machine_proposal(machine)
    answer = client.post(edit(machine), {**form_of(machine, **FASTER), "do": "show"}, headers=HTMX)
    assert answer.status_code == 200
    body = answer.content.decode()
    assert "<html" not in body
    assert Machine.objects.get().version == 1
    client.post(edit(machine), form_of(machine, **FASTER))
    machine.refresh_from_db()
    expected = what_if(before, machine_proposal(machine), None)
    assert expected.summary
    assert expected.summary in body
    assert expected.html() in body
    assert not DescriptionDraft.objects.exists(), "saved: nothing is left to keep"


def test_the_plain_button_shows_the_same_with_the_form(engineer, machine, client):
    page = client.post(edit(machine), {**form_of(machine, **FASTER), "do": "show"})
    assert page.status_code == 200
    assert b"<html" in page.content
    assert page.context["panel"].changes.causes
    assert b'value="19 000 rpm"' in page.content


def test_what_was_typed_is_there_again_and_can_be_forgotten(engineer, machine, client):
    client.post(edit(machine), {**form_of(machine, **FASTER), "do": "show"}, headers=HTMX)
    page = client.get(edit(machine))
    assert b'value="19 000 rpm"' in page.content
    assert page.context["panel"].changes.causes
    client.force_login(member(machine.project, Role.OWNER))
    assert b'value="19 000 rpm"' not in client.get(edit(machine)).content, "it is one person's own"
    client.force_login(engineer)
    client.post(edit(machine), {"do": "forget"})
    assert b'value="19 000 rpm"' not in client.get(edit(machine)).content


def test_typing_everything_back_keeps_nothing(engineer, machine, client):
    client.post(edit(machine), {**form_of(machine, **FASTER), "do": "show"}, headers=HTMX)
    answer = client.post(edit(machine), {**form_of(machine), "do": "show"}, headers=HTMX)
    assert not DescriptionDraft.objects.exists()
    assert b"Nothing: the fields say what is saved." in answer.content


def test_a_draft_of_an_older_version_shows_both(engineer, machine, client):
    client.post(edit(machine), {**form_of(machine, **FASTER), "do": "show"}, headers=HTMX)
    set_on(machine)
    page = client.get(edit(machine))
    assert page.context["stale"].version == 2
    assert b'value="19 000 rpm"' in page.content
    taken_over = {**form_of(machine, **FASTER), "version": "2"}
    assert client.post(edit(machine), taken_over).status_code == 302


def test_entries_that_cannot_be_read_yet_say_where(engineer, machine, client):
    typed = form_of(machine, **{"pinions[0].speed": "fast"})
    answer = client.post(edit(machine), {**typed, "do": "show"}, headers=HTMX)
    assert answer.status_code == 200
    assert b'href="#f-pinions-0-speed"' in answer.content
    twice = form_of(machine, **{"pinions[1].name": machine.description["pinions"][0].get("name", "P1")})
    assert client.post(edit(machine), {**twice, "do": "show"}, headers=HTMX).status_code == 200
    assert client.post(edit(machine), twice).status_code == 422


def test_a_new_machine_shows_its_proposal_before_it_is_saved(engineer, project, client):
    address = reverse("projects:machine-new", args=[project.pk])
    answer = client.post(address, {"do": "show", "tag": "K-1"}, headers=HTMX)
    assert b"Not readable yet" in answer.content
    from_sample = typed_of(machine_of(project, tag="K-2").description)
    answer = client.post(address, {**from_sample, "tag": "K-3", "do": "show"}, headers=HTMX)
    assert b"points on" in answer.content
    assert b'value="K-3"' in client.get(address).content
    assert client.post(address, {**from_sample, "tag": "K-3"}).status_code == 302
    assert not DescriptionDraft.objects.exists()


def moved_up(client, machine, typed):
    page = client.post(edit(machine), {**typed, "do": "up:pinions[1]"})
    form = page.context["form"]
    return {**typed, **form._typed}


def test_overrides_follow_a_pinion_that_is_moved(engineer, machine, client):
    set_on(machine, "P1/P1-1/radial", "trip", 41.0)
    set_on(machine, "P2/P2-1/radial", "trip", 35.0)
    machine.refresh_from_db()
    typed = moved_up(client, machine, form_of(machine))
    shown = client.post(edit(machine), {**typed, "do": "show"}, headers=HTMX)
    assert shown.status_code == 200
    assert client.post(edit(machine), typed).status_code == 302
    machine.refresh_from_db()
    found = {each.item: each for each in machine_proposal(machine).overrides}
    names = [pinion.get("name") for pinion in machine.description["pinions"]]
    if names == ["P2", "P1"]:
        expected = {"P1/P1-1/radial": 41.0, "P2/P2-1/radial": 35.0}
    else:
        expected = {"P2/P2-1/radial": 41.0, "P1/P1-1/radial": 35.0}
    assert {item: each.value for item, each in found.items()} == expected


def test_overrides_of_unnamed_pinions_change_their_key(engineer, project, client):
    machine = machine_of(project, name="minimal_process")
    assert not any("name" in pinion for pinion in machine.description["pinions"])
    trips = {"P1/P1-1/radial": 41.0, "P2/P2-1/radial": 35.0}
    for item, value in trips.items():
        set_on(machine, item, "trip", value)
    machine.refresh_from_db()
    client.post(edit(machine), moved_up(client, machine, form_of(machine)))
    machine.refresh_from_db()
    found = machine_proposal(machine).overrides
    assert {each.item: each.value for each in found} == {"P2/P2-1/radial": 41.0, "P1/P1-1/radial": 35.0}
    speeds = {row.item: row.speed_rpm for row in machine.overrides.all()}
    assert speeds["P2/P2-1/radial"] > 0


def test_a_pinion_taken_out_leaves_its_override_listed_as_gone(engineer, project, client):
    machine = machine_of(project, name="minimal_process")
    set_on(machine, "P1/P1-1/radial", "trip", 41.0)
    machine.refresh_from_db()
    page = client.post(edit(machine), {**form_of(machine), "do": "remove:pinions[0]"})
    typed = {**page.context["form"]._typed, "version": str(machine.version), "stage_count": "2"}
    assert client.post(edit(machine), typed).status_code == 302
    machine.refresh_from_db()
    (found,) = machine_proposal(machine).overrides
    assert found.state == "item gone"


def test_fields_sent_as_json_say_what_the_form_says(engineer, machine, client):
    typed = {name: text for name, text in form_of(machine, **FASTER).items() if text}
    as_form = client.post(edit(machine), {**typed, "do": "show"}, headers=HTMX)
    as_json = client.post(edit(machine), {**typed, "do": "show"}, "application/json", headers=HTMX)
    assert as_json.status_code == 200
    assert as_json.content == as_form.content
    assert DescriptionDraft.objects.get().typed["pinions[0].speed"] == "19 000 rpm"


@pytest.mark.parametrize(
    "body", [b"{", b"[]", b'{"tag": 3}', b'{"tag": {"a": "b"}}', b"\xff", b'{"tag": "a\\u0000"}']
)
def test_what_no_page_sends_is_refused(engineer, machine, client, body):
    assert client.post(edit(machine), body, "application/json", headers=HTMX).status_code == 400
    assert not DescriptionDraft.objects.exists()
