"""Pages of rules and criteria: where each is used, what is confirmed, a file of values looked at first."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from specapp.core.roles import Role
from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.loader import load_defaults
from specapp.projects.deciding.criteria import criterion_confirm, criterion_set
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine, ProjectCriterion
from specapp.references.uses import MOST_MACHINES, counted_machines, criterion_uses
from specapp.rulebook.registry import RULES
from tests.factories import NOW, ProjectFactory, machine_of, member, sample_description

pytestmark = pytest.mark.django_db
KEY = "radial.alarm_multiple"
FILE = b'[[criterion]]\nkey = "radial.alarm_multiple"\nvalue = 1.4\nreason = "clause 7"\nsource = "GS-12"\n'


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


def criteria_page(client, project, **query):
    return client.get(reverse("references:criteria-list", args=[project.pk]), query)


def rules_page(client, project, **query):
    return client.get(reverse("references:rule-list", args=[project.pk]), query)


def test_uses_are_those_the_rules_recorded(project):
    proposal = machine_proposal(machine_of(project))
    uses = criterion_uses([proposal])
    assert set(uses) == {item["key"] for item in proposal.criteria}
    wanted = {
        (point.voting_group, level)
        for point in proposal.points
        for level in ("alarm", "trip")
        if (setpoint := getattr(point.setpoints, level)) is not None
        and any(read.key == KEY for index in setpoint.trace for read in proposal.trace[index].criteria)
    }
    assert wanted
    assert uses[KEY].setpoints == len(wanted)
    assert uses[KEY].rules <= set(RULES)
    twice = criterion_uses([proposal, proposal])
    assert (twice[KEY].setpoints, twice[KEY].rules) == (2 * len(wanted), uses[KEY].rules)


def test_criteria_are_searched_by_any_words(project, engineer, client):
    machine_of(project)
    assert criteria_page(client, project).context["found"] == len(list(load_defaults()))
    found = criteria_page(client, project, q="ALARM multiple radial").context
    assert 0 < found["found"] < found["count"]
    assert KEY in found["table"].html()
    assert criteria_page(client, project, q="no such words").context["found"] == 0


def test_the_sentence_counts_what_is_in_use_and_who_confirmed(project, engineer, client):
    machine = machine_of(project)
    recalled = machine_proposal(machine).verdict.values_to_confirm
    assert criteria_page(client, project).context["standing"] == f"{recalled} values to be confirmed"
    key = next(item["key"] for item in machine_proposal(machine).criteria if item["status"] == "from memory")
    reviewer = member(project, Role.REVIEWER)
    criterion_confirm(project=project, key=key, edition="a copy", on=NOW.date(), author=reviewer, now=NOW)
    page = criteria_page(client, project).context
    assert page["standing"] == f"{recalled - 1} values to be confirmed, 1 confirmed by {reviewer}"
    assert criteria_page(client, project, show="confirmed").context["found"] == 1
    assert key not in criteria_page(client, project, show="unconfirmed").context["table"].html()


def test_what_no_machine_reads_is_found(project, engineer, client):
    machine = machine_of(project, name="minimal_packaged")
    page = criteria_page(client, project, show="unused", machine=machine.pk).context
    used = {item["key"] for item in machine_proposal(machine).criteria}
    assert page["found"] == page["count"] - len(used)


@pytest.mark.parametrize(
    "query", [{"show": "nothing"}, {"machine": "x"}, {"machine": "9" * 30}, {"machine": "0"}]
)
def test_what_is_not_there_is_not_found(query, project, engineer, client):
    assert criteria_page(client, project, **query).status_code == 404
    assert rules_page(client, project, **query).status_code == 404


def test_another_projects_machine_is_not_found(project, engineer, client):
    other = machine_of(ProjectFactory())
    assert rules_page(client, project, machine=other.pk).status_code == 404


def test_every_rule_is_there_with_how_it_ended(project, engineer, client):
    page = rules_page(client, project)
    assert page.context["found"] == len(RULES)
    html = page.content.decode()
    assert all(f'id="{rule}"' in html for rule in RULES)
    machine = machine_of(project)
    outcomes = machine_proposal(machine).rules
    for shown in ("applied", "not_applicable", "undecided"):
        page = rules_page(client, project, machine=machine.pk, show=shown).context
        assert page["found"] == sum(each.outcome.replace(" ", "_") == shown for each in outcomes)


def test_an_undecided_rule_names_the_fact_it_needs(project, engineer, client):
    proposals = {
        name: machine_of(project, name=name, tag=name.replace("_", "-"))
        for name in ("minimal_process", "minimal_packaged", "turbine_driven_hydrogen")
    }
    for machine in proposals.values():
        page = rules_page(client, project, machine=machine.pk)
        needs = {path for each in machine_proposal(machine).rules for path in each.needs}
        assert page.content.decode().count("<small>needs</small>") >= len(needs)


def test_a_large_project_says_over_how_many_machines_it_counts(project, engineer, client):
    for number in range(MOST_MACHINES + 1):
        machine_of(project, tag=f"K-{number:02}", name="minimal_packaged")
    counted = counted_machines(project)
    assert (len(counted.proposals), counted.total) == (MOST_MACHINES, MOST_MACHINES + 1)
    assert b"20 of 21 machines" in criteria_page(client, project).content


def test_a_description_of_earlier_rules_is_left_out_by_name(project, engineer, client):
    machine = machine_of(project)
    broken = {**sample_description("minimal_process"), "stage_count": 99}
    Machine.objects.filter(pk=machine.pk).update(description=broken)
    page = criteria_page(client, project)
    assert page.context["counted"].unreadable == (machine.tag,)
    assert rules_page(client, project, machine=machine.pk).context["problems"]


def bring(client, project, data):
    address = reverse("references:criteria-bring", args=[project.pk])
    return client.post(address, {"file": SimpleUploadedFile("c.toml", data)})


def test_a_file_is_looked_at_with_what_it_moves_before_it_is_set(project, engineer, client):
    machine = machine_of(project)
    before = machine_proposal(machine)
    page = bring(client, project, FILE)
    assert page.status_code == 200
    ((tag, summary),) = page.context["moved"]
    assert tag == machine.tag
    assert "setpoints changed" in summary
    assert not ProjectCriterion.objects.exists()
    assert Machine.objects.get(pk=machine.pk).counted_by == machine.counted_by
    address = reverse("references:criteria-bring", args=[project.pk])
    assert client.post(address, {"read": page.context["read"]}).status_code == 302
    assert ProjectCriterion.objects.get().value == 1.4
    assert machine_proposal(machine) != before
    assert bring(client, project, FILE).context["lines"] == []


@pytest.mark.parametrize(
    "data", [b"\xff", b"= 1", FILE + FILE, FILE.replace(b"1.4", b"1e9"), b"x" * 1_000_001]
)
def test_a_file_with_a_mistake_sets_nothing(data, project, engineer, client):
    page = bring(client, project, data)
    assert page.status_code == 422
    assert page.context["form"].errors
    assert not ProjectCriterion.objects.exists()


def test_what_was_read_for_another_project_cannot_be_set_here(project, engineer, client):
    other = ProjectFactory()
    read = bring(client, project, FILE).context["read"]
    client.force_login(member(other, Role.OWNER))
    address = reverse("references:criteria-bring", args=[other.pk])
    assert client.post(address, {"read": read}).status_code == 422
    assert not ProjectCriterion.objects.exists()


def test_a_value_set_here_shows_with_its_default(project, engineer, client):
    value = CriterionValue(1.4, "clause 7", "GS-12", None)
    criterion_set(project=project, key=KEY, value=value, expected_row=None, author=engineer, now=NOW)
    page = criteria_page(client, project, show="set").context
    assert page["found"] == 1
    assert "clause 7" in page["table"].html()
    assert "default" in page["table"].html()


def test_a_value_that_no_longer_counts_is_named(project, engineer, client):
    value = CriterionValue(1.4, "clause 7", "GS-12", None)
    criterion_set(project=project, key=KEY, value=value, expected_row=None, author=engineer, now=NOW)
    ProjectCriterion.objects.update(key="radial.given_up")
    page = criteria_page(client, project)
    assert [row.key for row in page.context["not_counting"]] == ["radial.given_up"]
    assert page.context["own_count"] == 0


def test_the_list_costs_the_same_queries_however_many_values(
    project, engineer, client, django_assert_num_queries
):
    for key, value in ((KEY, 1.6), ("radial.alarm_clearance", 0.4)):
        told = CriterionValue(value, "clause 7", "", None)
        criterion_set(project=project, key=key, value=told, expected_row=None, author=engineer, now=NOW)
        with django_assert_num_queries(9):
            assert criteria_page(client, project).status_code == 200
