"""Sources of a description: for a whole sitting and field by field, under the machine's version."""

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.deciding.overrides import override_set
from specapp.projects.models import Machine
from specapp.projects.services import machine_update
from specapp.references.models import SittingSource
from specapp.references.sourcing import Origin, field_names, with_values
from tests.factories import NOW, ProjectFactory, machine_of, member, sample_description
from tests.references.filled import registered

pytestmark = pytest.mark.django_db
FROM = {"document": "GA-118", "revision": "2", "page": "4", "state": "quoted"}
DIAMETER = "pinions[1].journal_diameter"


@pytest.fixture
def project():
    project = ProjectFactory()
    member(project, Role.OWNER)
    return project


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


def post(client, machine, **told):
    address = reverse("references:source-list", args=[machine.project_id, machine.pk])
    return client.post(address, {"version": machine.version, "do": "enter", **FROM, **told})


def stored(machine):
    return Machine.objects.get(pk=machine.pk)


def test_what_is_entered_in_a_sitting_carries_its_source(project, engineer, client):
    machine = machine_of(project)
    told = {f"value-{DIAMETER}": "62 mm", "value-bull_gear.rotation": "clockwise", f"page-{DIAMETER}": "7"}
    assert post(client, machine, **told).status_code == 302
    found = stored(machine)
    assert found.description["pinions"][1]["journal_diameter"] == "62 mm"
    assert found.description["sources"] == {
        DIAMETER: {**FROM, "page": "7"},
        "bull_gear.rotation": FROM,
    }
    assert found.version == machine.version + 1
    page = client.get(reverse("references:source-list", args=[project.pk, machine.pk]))
    assert page.context["form"].initial == FROM


def test_a_field_ticked_keeps_its_value(project, engineer, client):
    machine = machine_of(project)
    assert post(client, machine, **{"from": ["stage_count", "bull_gear.teeth"]}).status_code == 302
    found = stored(machine)
    assert found.description["sources"] == {"stage_count": FROM}, "a field that is not told has no source"
    assert {**found.description, "sources": {}} == {**machine.description, "sources": {}}
    assert post(client, found, do="remove", **{"from": ["stage_count"]}).status_code == 302
    assert stored(machine).description["sources"] == {}


def test_every_problem_stands_at_its_field_and_nothing_is_saved(project, engineer, client):
    machine = machine_of(project)
    told = {
        f"value-{DIAMETER}": "62 kg",
        "value-bull_gear.teeth": "many",
        "value-driver.kind": "steam_turbine",
    }
    response = post(client, machine, **told)
    assert response.status_code == 422
    lines = {line.name: line for group in response.context["groups"] for line in group.lines}
    assert {name for name, line in lines.items() if line.problem} == {DIAMETER, "bull_gear.teeth"}
    assert lines["driver.kind"].typed == "steam_turbine"
    assert stored(machine).version == machine.version


@pytest.mark.parametrize(
    "told",
    [{"document": " "}, {"state": "rumoured"}, {"revision": "r" * 41}, {"page": "a\u202eb"}],
)
def test_a_source_that_says_nothing_is_refused(told, project, engineer, client):
    machine = machine_of(project)
    response = post(client, machine, **{"value-bull_gear.teeth": "281", **told})
    assert response.status_code == 422
    assert next(iter(told)) in response.context["form"].errors
    assert stored(machine).version == machine.version


def test_nothing_typed_or_ticked_is_said(project, engineer, client):
    assert post(client, machine_of(project)).status_code == 422


def test_a_stale_page_keeps_what_was_typed_and_shows_who_was_quicker(project, engineer, client):
    machine = machine_of(project)
    machine_update(
        machine=machine,
        description={**machine.description, "title": "theirs"},
        expected_version=machine.version,
        author=machine.created_by,
        now=NOW,
    )
    response = post(client, machine, **{"value-bull_gear.teeth": "281"})
    assert response.status_code == 409
    lines = {line.name: line for group in response.context["groups"] for line in group.lines}
    assert (lines["title"].value, lines["bull_gear.teeth"].typed) == ("theirs", "281")
    machine.version = response.context["machine"].version
    assert post(client, machine, **{"value-bull_gear.teeth": "281"}).status_code == 302
    assert stored(machine).description["title"] == "theirs"


def test_what_was_changed_on_other_pages_since_the_sitting_began_is_ticked(project, engineer, client):
    machine = machine_of(project)
    post(client, machine, **{"from": ["stage_count"]})
    machine = stored(machine)
    machine_update(
        machine=machine,
        description={**machine.description, "service": "air to the plant"},
        expected_version=machine.version,
        author=engineer,
        now=SittingSource.objects.get().begun_at,
    )
    page = client.get(reverse("references:source-list", args=[project.pk, machine.pk]))
    ticked = [line.name for group in page.context["groups"] for line in group.lines if line.is_ticked]
    assert ticked == ["service"]
    post(client, stored(machine), do="end")
    assert not SittingSource.objects.exists()


def test_the_page_marks_what_rests_on_an_earlier_revision(project, engineer, client):
    machine = machine_of(project, sources={"stage_count": {**FROM, "revision": "1"}, "tag": FROM})
    registered(project, revisions=("1", "2"))
    page = client.get(reverse("references:source-list", args=[project.pk, machine.pk]), {"show": "earlier"})
    assert [line.name for group in page.context["groups"] for line in group.lines] == ["stage_count"]


def test_a_pinion_renamed_here_keeps_its_overrides(project, engineer, client):
    machine = machine_of(project)
    override_set(
        machine=machine,
        expected_version=machine.version,
        item="P2/P2-1/radial",
        field="trip",
        value=33.0,
        reason="a test",
        author=machine.created_by,
        now=NOW,
    )
    assert post(client, stored(machine), **{"value-pinions[1].name": "PX"}).status_code == 302
    assert list(machine.overrides.values_list("item", flat=True)) == ["PX/PX-1/radial"]


def test_every_field_of_a_description_can_have_a_source():
    description = sample_description("contract_example")
    origin = Origin("D", "", "", "measured")
    names = field_names(description)
    changed = with_values(description, {}, dict.fromkeys(names, origin))
    assert "pinions[0].journal_diameter" in changed["sources"]
    assert "hazardous_area" in changed["sources"]
    assert all(source == {"document": "D", "state": "measured"} for source in changed["sources"].values())


def test_the_area_changes_as_one():
    description = sample_description("minimal_process")
    changed = with_values(description, {"hazardous_area.classification": "zone 1"}, {})
    assert changed["hazardous_area"] == {**description["hazardous_area"], "zone": 1}
