"""Describing a machine in the browser: nothing typed is lost, two people do not overwrite each other."""

import pytest
from django.urls import reverse

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.describing.typed import typed_of
from specapp.projects.models import Machine
from tests.factories import PASSWORD, ProjectFactory, UserFactory, machine_of, member
from tests.projects.test_description_form import FOUR_FACTS

pytestmark = pytest.mark.django_db


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


def new_url(project):
    return reverse("projects:machine-new", args=[project.pk])


def edit_url(machine):
    return reverse("projects:machine-edit", args=[machine.project_id, machine.pk])


def typed_in(response):
    form = response.context["form"]
    entries = [*form.facts, *form.area, *(entry for row in form.pinions.rows for entry in row.entries)]
    return {entry.name: entry.value for entry in entries}


def test_four_facts_make_a_machine_and_lead_to_its_proposal(project, engineer, client):
    response = client.post(new_url(project), FOUR_FACTS)
    machine = Machine.objects.get()
    assert response.url == reverse("projects:machine-show", args=[project.pk, machine.pk])
    assert (machine.tag, machine.version, machine.created_by) == ("K-1", 1, engineer)
    assert machine.description["bull_gear"] == {"speed": "1,490 rpm"}
    entry = AuditEntry.objects.get(action="machine.create")
    assert entry.data["description"] == machine.description


def test_a_form_with_mistakes_comes_back_with_all_that_was_typed(project, engineer, client):
    typed = {**FOUR_FACTS, "bull_gear.speed": "fast", "pinions[0].teeth": "many"}
    response = client.post(new_url(project), typed)
    assert response.status_code == 422
    assert {name: typed_in(response)[name] for name in typed} == typed
    assert not Machine.objects.exists()


@pytest.mark.parametrize(
    ("pressed", "rows"), [("add:pinions", 2), ("remove:pinions[0]", 0), ("add:nothing", None)]
)
def test_pinions_are_added_and_removed_without_saving(project, engineer, client, pressed, rows):
    response = client.post(new_url(project), {**FOUR_FACTS, "do": pressed})
    if rows is None:
        assert Machine.objects.exists()
        return
    assert len(response.context["form"].pinions.rows) == rows
    assert typed_in(response)["tag"] == "K-1"
    assert not Machine.objects.exists()


def test_a_tag_that_the_project_has_already_is_refused_in_any_case(project, engineer, client):
    machine_of(project, tag="k-1")
    response = client.post(new_url(project), FOUR_FACTS)
    assert response.status_code == 422
    assert response.context["form"].facts[0].errors
    machine_of(ProjectFactory(), tag="K-1")  # another project may have it


def test_what_was_typed_returns_after_an_expired_sign_in(project, engineer, client):
    client.logout()
    response = client.post(new_url(project), FOUR_FACTS)
    assert response.status_code == 302
    sign_in = client.get(response.url)
    assert sign_in.context["has_kept_form"]
    back = client.post(response.url, {"username": engineer.username, "password": PASSWORD})
    assert back.url == new_url(project)
    form = client.get(back.url)
    assert {name: typed_in(form)[name] for name in FOUR_FACTS} == FOUR_FACTS
    assert not Machine.objects.exists()
    assert not client.get(back.url).context["came_back"]


def test_an_expired_edit_keeps_the_version_it_was_based_on(project, engineer, client):
    machine = machine_of(project)
    client.logout()
    typed = {**typed_of(machine.description), "version": "1", "title": "Second thoughts"}
    response = client.post(edit_url(machine), typed)
    client.post(response.url, {"username": engineer.username, "password": PASSWORD})
    form = client.get(edit_url(machine))
    assert form.context["version"] == 1
    assert b"Second thoughts" in form.content


def test_saving_raises_the_version_and_keeps_was_and_is(project, engineer, client):
    machine = machine_of(project)
    typed = {**typed_of(machine.description), "version": "1", "title": "Renamed"}
    assert client.post(edit_url(machine), typed).status_code == 302
    machine.refresh_from_db()
    assert (machine.version, machine.description["title"], machine.updated_by) == (2, "Renamed", engineer)
    entry = AuditEntry.objects.get(action="machine.update")
    assert entry.data["was"]["title"] != entry.data["is"]["title"] == "Renamed"


def test_a_stale_save_shows_both_versions_and_saves_when_told_again(project, engineer, client):
    machine = machine_of(project)
    typed = typed_of(machine.description)
    client.post(edit_url(machine), {**typed, "version": "1", "title": "Theirs"})
    mine = {**typed, "version": "1", "title": "Mine"}
    response = client.post(edit_url(machine), mine)
    assert response.status_code == 409
    assert response.context["form"].differs_from_theirs == [
        {"label": "Title", "mine": "Mine", "theirs": "Theirs"}
    ]
    machine.refresh_from_db()
    assert machine.description["title"] == "Theirs"
    again = client.post(edit_url(machine), {**mine, "version": str(response.context["version"])})
    assert again.status_code == 302
    machine.refresh_from_db()
    assert (machine.description["title"], machine.version) == ("Mine", 3)


def test_what_a_save_refused_is_there_again_and_can_be_forgotten(project, engineer, client):
    machine = machine_of(project)
    typed = typed_of(machine.description)
    assert client.post(edit_url(machine), {**typed, "version": "1", "stage_count": "many"}).status_code == 422
    assert typed_in(client.get(edit_url(machine)))["stage_count"] == "many"
    client.post(edit_url(machine), {**typed, "version": "1", "title": "Theirs"})
    assert b"did not save it" not in client.get(edit_url(machine)).content, "a save ends what was kept"
    stale = client.post(edit_url(machine), {**typed, "version": "1", "title": "Mine"})
    assert b"Forget mine, start from the saved version" in stale.content
    again = client.get(edit_url(machine))
    assert again.context["form"].differs_from_theirs[0]["mine"] == "Mine"
    client.post(edit_url(machine), {"do": "forget"})
    assert b"Theirs" in client.get(edit_url(machine)).content


def test_a_removed_machine_leaves_its_description_in_the_record(project, engineer, client):
    machine = machine_of(project)
    url = reverse("projects:machine-remove", args=[project.pk, machine.pk])
    assert client.get(url).status_code == 200
    assert Machine.objects.exists()
    client.post(url)
    assert not Machine.objects.exists()
    assert AuditEntry.objects.get(action="machine.remove").data["was"] == machine.description


def test_hostile_text_is_text(project, engineer, client):
    machine = machine_of(project, title="<script>alert(1)</script>", service='"><img src=x>')
    for name in ("machine-show", "machine-edit", "document-list"):
        page = client.get(reverse(f"projects:{name}", args=[project.pk, machine.pk])).content.decode()
        assert "<script>alert" not in page
        assert "<img src=x" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


@pytest.mark.parametrize(
    "body", [{"pinions[99999].speed": "1"}, {"version": "x" * 50}, {"do": "remove:pinions[x]"}, {}]
)
def test_no_post_is_answered_by_a_fault(project, engineer, client, body):
    machine = machine_of(project)
    for url in (new_url(project), edit_url(machine)):
        assert client.post(url, body).status_code in (200, 409, 422)


def test_people_keep_apart(project, client):
    machine = machine_of(project)
    client.force_login(UserFactory())
    assert client.post(edit_url(machine), {"version": "1"}).status_code == 404
