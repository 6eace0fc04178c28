"""Copies, comparison, search and files of lists."""

import csv
from io import BytesIO, StringIO

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.loader import load_defaults
from specapp.lists.views.exports import SCHEDULES
from specapp.projects.deciding.criteria import criterion_set
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set
from specapp.projects.models import Machine, Override
from specapp.projects.selectors import MACHINES_ON_A_PAGE
from tests.factories import NOW, MembershipFactory, ProjectFactory, UserFactory, machine_of, member

pytestmark = pytest.mark.django_db
TRIP = {"item": "P1/P1-1/radial", "field": "trip"}


@pytest.fixture
def engineer(client):
    project = ProjectFactory()
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    person.project = project
    return person


def overridden(project, person, **changed):
    machine = machine_of(project, author=person, name="contract_example", **changed)
    override_set(
        machine=machine, expected_version=1, **TRIP, value=36, reason="maker", author=person, now=NOW
    )
    return machine


def copy(client, project, source, **posted):
    address = reverse("lists:machine-copy", args=[project.pk])
    return client.post(address, {"from": source.pk, **posted})


def test_a_duplicate_has_the_same_facts_under_its_own_tag(client, engineer):
    machine = overridden(engineer.project, engineer)
    response = copy(
        client, engineer.project, engineer.project, machine=machine.pk, **{f"tag-{machine.pk}": "K-2"}
    )
    made = Machine.objects.get(tag="K-2")
    assert response.url == reverse("projects:machine-edit", args=[engineer.project.pk, made.pk])
    assert made.description == {**machine.description, "tag": "K-2"}
    assert not made.overrides.exists()
    entry = AuditEntry.objects.get(action="machine.create", object_id=made.pk)
    assert entry.data["from"] == [f"{engineer.project} {machine.tag}"]


def test_overrides_come_along_to_be_confirmed_again(client, engineer):
    other = ProjectFactory()
    MembershipFactory(project=other, user=engineer, role=Role.READER)
    machine = overridden(other, engineer)
    machine.setpoint_values.create(
        item=TRIP["item"],
        level="trip",
        value=35,
        unit="um",
        state="MAKERS",
        document="D-1",
        person="x",
        dated=NOW.date(),
        author=engineer,
        written_at=NOW,
    )
    posted = {"machine": machine.pk, f"tag-{machine.pk}": "K-2", "overrides": "on"}
    copy(client, engineer.project, other, **posted)
    made = Machine.objects.get(tag="K-2")
    assert [line.state for line in machine_proposal(made).overrides] == ["confirm again"]
    assert Override.objects.get(machine=made).reason == f"From {machine.tag}: maker"
    assert not made.setpoint_values.exists()
    page = client.get(reverse("projects:override-list", args=[engineer.project.pk, made.pk]))
    assert page.status_code == 200


def test_the_owners_values_of_another_project_come_along_as_the_machines_own(client, engineer):
    other = ProjectFactory()
    MembershipFactory(project=other, user=engineer, role=Role.READER)
    machine = machine_of(other)
    for key, source in (("radial.trip_multiple", "spec 7.3"), ("radial.alarm_clearance", "")):
        value = CriterionValue(load_defaults().value(key) * 0.95, "owner's way", source)
        criterion_set(project=other, key=key, value=value, expected_row=None, author=engineer, now=NOW)
    criterion_set(project=engineer.project, key=key, value=value, expected_row=None, author=engineer, now=NOW)
    copy(client, engineer.project, other, machine=machine.pk, **{f"tag-{machine.pk}": "K-2"})
    carried = Machine.objects.get(tag="K-2").description["criteria"]
    assert carried == {
        "radial.trip_multiple": {
            "value": load_defaults().value("radial.trip_multiple") * 0.95,
            "reason": f"Owner's value of {other}: owner's way (spec 7.3)",
        }
    }


def test_a_tag_in_use_or_a_wrong_one_starts_nothing_and_keeps_what_was_typed(client, engineer):
    machine = machine_of(engineer.project)
    for tag in (machine.tag.lower(), "", "<b>"):
        posted = {"machine": machine.pk, f"tag-{machine.pk}": tag}
        response = copy(client, engineer.project, engineer.project, **posted)
        assert response.status_code == 422
        assert response.context["rows"][0][1:] == (tag, True)
    assert Machine.objects.count() == 1


def test_a_project_that_one_may_not_read_is_not_found(client, engineer):
    stranger, sealed = ProjectFactory(), ProjectFactory()
    MembershipFactory(project=sealed, user=engineer, role=Role.BIDDER)
    for other in (stranger, sealed):
        machine = machine_of(other)
        address = reverse("lists:machine-copy", args=[engineer.project.pk])
        assert client.get(address, {"from": other.pk}).status_code == 404
        posted = {"machine": machine.pk, f"tag-{machine.pk}": "K-2"}
        assert copy(client, engineer.project, other, **posted).status_code == 404
        compare = reverse("lists:machine-compare", args=[engineer.project.pk])
        assert client.get(compare, {"first": machine.pk, "second": machine.pk}).status_code == 404
        assert client.get(reverse("lists:machine-search"), {"q": machine.tag}).context["machines"] == []


def compared(client, first, second, **more):
    address = reverse("lists:machine-compare", args=[first.project_id])
    return client.get(address, {"first": first.pk, "second": second.pk, **more})


def test_two_machines_side_by_side_and_why_they_differ(client, engineer):
    first = machine_of(engineer.project, name="contract_example")
    description = first.description
    pinions = [{**pinion} for pinion in description["pinions"]]
    pinions[0]["baseline_vibration"] = "4 um"
    second = machine_of(engineer.project, name="contract_example", tag="K-2", pinions=pinions)
    page = compared(client, first, second).context["page"]
    assert page.answer.item == "P1/P1-1/radial"
    assert first.tag in page.answer.text
    assert "because" in page.answer.text
    asked = compared(client, first, second, item="P1/P1-2/radial").context["page"]
    assert asked.answer.item == "P1/P1-2/radial"


@pytest.mark.parametrize("samples", [("ten_stage", "minimal_packaged"), ("us_units_process", "eight_stage")])
def test_any_two_machines_are_compared(samples, client, engineer):
    first, second = (machine_of(engineer.project, name=name) for name in samples)
    response = compared(client, first, second)
    assert response.status_code == 200
    assert response.context["page"].blocks


def test_a_machine_compared_with_itself_says_the_same(client, engineer):
    machine = machine_of(engineer.project)
    assert compared(client, machine, machine).context["page"].is_same


@pytest.mark.parametrize("item", ["nothing/here", "<script>", "x" * 5000])
def test_an_item_that_neither_has_is_answered_with_a_sentence(item, client, engineer):
    machine = machine_of(engineer.project)
    response = compared(client, machine, machine, item=item)
    assert response.status_code == 200
    assert "<script>:" not in response.content.decode()


def test_machines_are_found_by_tag_and_words_in_own_projects_alone(client, engineer):
    machine_of(engineer.project, tag="K-77", service="Nitrogen booster")
    machine_of(ProjectFactory(), tag="K-77", service="Nitrogen booster")
    search = reverse("lists:machine-search")
    for text in ("k-77", "nitrogen", "booster K-77"):
        found = client.get(search, {"q": text}).context["machines"]
        assert [machine.project for machine in found] == [engineer.project]
    assert client.get(search, {"q": "oxygen K-77"}).context["machines"] == []
    assert client.get(search, {"q": "%_'\""}).context["machines"] == []
    assert client.get(search, {"q": "K-77\0"}).status_code == 400


def test_a_point_is_found_by_a_part_of_its_tag(client, engineer):
    machine_of(engineer.project, name="contract_example")
    found = client.get(reverse("lists:machine-search"), {"q": "4410-p11y"}).context["points"]
    assert [item.key for item in found] == ["P1/P1-1/radial/Y"]


@pytest.mark.parametrize("key", SCHEDULES)
def test_every_list_is_a_csv_and_a_workbook(key, client, engineer):
    machine = machine_of(engineer.project, name="contract_example")
    place = [engineer.project.pk, machine.pk, key]
    rows = len(SCHEDULES[key][1](machine_proposal(machine)).rows)
    content = client.get(reverse("lists:schedule-file", args=[*place, "csv"])).content
    assert len(list(csv.reader(StringIO(content.decode("utf-8-sig"))))) == rows + 1
    content = client.get(reverse("lists:schedule-file", args=[*place, "xlsx"])).content
    assert load_workbook(BytesIO(content)).worksheets[0].max_row == rows + 1


@pytest.mark.parametrize(("key", "kind"), [("bill", "pdf"), ("secrets", "csv")])
def test_an_unknown_list_is_not_found(key, kind, client, engineer):
    place = [engineer.project.pk, machine_of(engineer.project).pk, key, kind]
    assert client.get(reverse("lists:schedule-file", args=place)).status_code == 404


def test_a_long_list_of_machines_comes_in_pages(client, engineer):
    machine = machine_of(engineer.project)
    fields = ("description", "description_checksum", "counted_by", "created_by_id", "updated_by_id")
    kept = {name: getattr(machine, name) for name in fields}
    Machine.objects.bulk_create(
        Machine(project=engineer.project, tag=f"X-{number}", created_at=NOW, updated_at=NOW, **kept)
        for number in range(MACHINES_ON_A_PAGE)
    )
    address = reverse("projects:project-show", args=[engineer.project.pk])
    assert len(client.get(address).context["machines"].rows) == MACHINES_ON_A_PAGE
    last = client.get(address, {"page": 2})
    assert len(last.context["machines"].rows) == 1
    assert client.get(address, {"page": "x"}).status_code == 200


def test_a_stranger_searches_an_empty_house(client):
    client.force_login(UserFactory())
    assert client.get(reverse("lists:machine-search"), {"q": "K"}).context["machines"] == []
