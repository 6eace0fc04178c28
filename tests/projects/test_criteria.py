"""Criteria of a project: the owner's values over the defaults, confirmed, in and out as a file."""

import datetime

import pytest
from django.urls import reverse

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.loader import load_defaults
from specapp.domain.problems import InputErrors
from specapp.projects.deciding.criteria import (
    confirmation_withdraw,
    criteria_import,
    criterion_confirm,
    criterion_set,
    criterion_withdraw,
)
from specapp.projects.deciding.criteria_file import criteria_toml
from specapp.projects.deciding.ground import criteria_in_force, machine_proposal
from specapp.projects.errors import CriterionMoved
from specapp.projects.models import CriterionConfirmation, Machine, ProjectCriterion
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member

pytestmark = pytest.mark.django_db
KEY = "radial.alarm_multiple"
FROM_MEMORY = next(each.key for each in load_defaults() if each.status == "from memory")


@pytest.fixture
def project():
    return ProjectFactory()


def set_to(project, value, key=KEY, expected=None, reason="owner's specification"):
    return criterion_set(
        project=project,
        key=key,
        value=CriterionValue(value, reason, "GS-12", datetime.date(2026, 1, 31)),
        expected_row=expected,
        author=UserFactory(),
        now=NOW,
    )


def alarm_candidate(machine):
    point = next(p for p in machine_proposal(machine).points if p.key == "P1/P1-1/radial/Y")
    return next(each.value for each in point.setpoints.alarm.candidates if each.criterion == KEY)


def test_a_value_of_the_project_moves_every_machine_of_it_and_no_other(project):
    machine, other = machine_of(project), machine_of(ProjectFactory())
    before = alarm_candidate(machine)
    row = set_to(project, 1.6)
    default = load_defaults().value(KEY)
    assert alarm_candidate(machine) == pytest.approx(before * 1.6 / default)
    assert alarm_candidate(other) == before
    assert Machine.objects.get(pk=machine.pk).counted_by == "", "its list line is to be worked out anew"
    read = next(item for item in machine_proposal(machine).criteria if item["key"] == KEY)
    assert read["override"]["reason"] == "owner's specification"
    criterion_withdraw(criterion=row, author=UserFactory(), now=NOW)
    assert alarm_candidate(machine) == before
    actions = AuditEntry.objects.filter(action__startswith="criterion.").values_list("action", flat=True)
    assert list(actions) == ["criterion.set", "criterion.withdraw"]


def test_the_machines_own_value_wins(project):
    own = {KEY: {"value": 1.7, "reason": "this machine"}}
    machine = machine_of(project, criteria=own)
    before = alarm_candidate(machine)
    set_to(project, 1.6)
    assert alarm_candidate(machine) == before


@pytest.mark.parametrize(
    ("key", "value", "reason", "path"),
    [
        ("radial.nothing", 1.0, "r", "key"),
        (KEY, 1e6, "r", "value"),
        (KEY, 1.6, " ", "reason"),
        ("temperature.journal_alarm", 125.0, "r", 'criteria["temperature.journal_alarm"].value'),
    ],
)
def test_what_is_not_allowed_is_refused(key, value, reason, path, project):
    with pytest.raises(InputErrors) as caught:
        set_to(project, value, key, reason=reason)
    assert caught.value.problems[0].path == path
    assert not ProjectCriterion.objects.exists()


def test_a_value_that_passes_a_machines_own_is_refused_naming_the_machine(project):
    machine_of(project, tag="K-9", criteria={"temperature.journal_trip": {"value": 112, "reason": "maker"}})
    with pytest.raises(InputErrors) as caught:
        set_to(project, 114.0, "temperature.journal_alarm")
    assert caught.value.problems[0].name == "K-9"


def test_two_people_do_not_overwrite_each_other(project):
    row = set_to(project, 1.6)
    with pytest.raises(CriterionMoved):
        set_to(project, 1.7)
    set_to(project, 1.7, expected=row.pk)
    assert [each.value for each in criteria_in_force(project.pk)] == [1.7]


def test_the_file_goes_out_and_comes_in_alike(project):
    set_to(project, 1.6, reason='a "quoted" \\ reason \x7f µ')
    set_to(project, 0.4, "radial.alarm_clearance")
    content = criteria_toml(criteria_in_force(project.pk)).encode()
    other = ProjectFactory()
    criteria_import(project=other, data=content, author=UserFactory(), now=NOW)
    assert criteria_toml(criteria_in_force(other.pk)).encode() == content
    assert criteria_import(project=other, data=content, author=UserFactory(), now=NOW) == []


def test_a_confirmation_speaks_of_the_value_of_that_day(project, client):
    reviewer = member(project, Role.REVIEWER)
    client.force_login(reviewer)
    address = reverse("projects:criterion-confirm", args=[project.pk, FROM_MEMORY])
    told = {"edition": "a licensed copy, clause 5", "on": "2026-03-01"}
    assert client.post(address, told).status_code == 302
    page = reverse("projects:criterion-edit", args=[project.pk, FROM_MEMORY])
    row = CriterionConfirmation.objects.get()
    assert client.get(page).context["line"].confirmed == (row,)
    assert (row.by, row.value) == (reviewer, load_defaults().value(FROM_MEMORY))
    CriterionConfirmation.objects.update(value=row.value + 1)
    assert client.get(page).context["line"].confirmed == ()
    assert client.get(page).context["lapsed"] == [row]
    client.post(reverse("projects:criterion-take-back", args=[project.pk, FROM_MEMORY]))
    assert not CriterionConfirmation.objects.filter(withdrawn_at=None).exists()


@pytest.mark.parametrize(
    ("key", "edition", "on", "path"),
    [
        ("radial.nothing", "copy", NOW.date(), "key"),
        (FROM_MEMORY, " ", NOW.date(), "edition"),
        (FROM_MEMORY, "copy", NOW.date() + datetime.timedelta(days=1), "on"),
    ],
)
def test_what_confirms_nothing_is_refused(key, edition, on, path, project):
    with pytest.raises(InputErrors) as caught:
        criterion_confirm(project=project, key=key, edition=edition, on=on, author=UserFactory(), now=NOW)
    assert caught.value.problems[0].path == path


def test_the_page_of_a_criterion_sets_it_and_says_when_someone_was_quicker(project, client):
    client.force_login(member(project, Role.ENGINEER))
    address = reverse("projects:criterion-edit", args=[project.pk, KEY])
    assert client.post(address, {"value": "a lot", "reason": ""}).status_code == 422
    assert client.post(address, {"value": "1.6", "reason": "clause 7", "row": ""}).status_code == 302
    assert client.post(address, {"value": "1.7", "reason": "late", "row": ""}).status_code == 409
    row = ProjectCriterion.objects.get(withdrawn_at=None)
    assert client.post(address, {"value": "1.7", "reason": "late", "row": row.pk}).status_code == 302
    assert b"Former values here" in client.get(address).content
    assert client.post(reverse("projects:criterion-withdraw", args=[project.pk, KEY])).status_code == 302
    assert not ProjectCriterion.objects.filter(withdrawn_at=None).exists()


def test_a_confirmed_value_is_no_longer_counted_to_be_confirmed(project):
    machine = machine_of(project)
    before = machine_proposal(machine)
    key = next(row["key"] for row in before.criteria if row["status"] == "from memory")
    reviewer = UserFactory()
    row = criterion_confirm(
        project=project, key=key, edition="a licensed copy", on=NOW.date(), author=reviewer, now=NOW
    )
    after = machine_proposal(machine)
    assert after.verdict.values_to_confirm == before.verdict.values_to_confirm - 1
    told = next(each for each in after.criteria if each["key"] == key)
    assert told["edition"] == f"a licensed copy, confirmed by {reviewer}, {NOW.date()}"
    confirmation_withdraw(confirmation=row, author=reviewer, now=NOW)
    assert machine_proposal(machine) == before


def test_an_owners_value_over_a_confirmed_one_is_from_memory_again():
    default = next(each for each in load_defaults() if each.status == "from memory")
    confirmed = load_defaults().with_confirmed({default.key: (default.value, "a copy")})
    assert confirmed.get(default.key).status == "published"
    other = confirmed.with_overrides(
        {default.key: CriterionValue(default.minimum, "invented")}, origin="machine"
    )
    assert other.get(default.key).status == "from memory"
    same = load_defaults().with_confirmed({default.key: (default.value + 1, "a copy of another value")})
    assert same.get(default.key).status == "from memory"
