"""Projects and members."""

import pytest
from django.urls import reverse

from specapp.core.models import AuditEntry, User
from specapp.core.roles import Role
from specapp.projects.errors import LastOwner
from specapp.projects.models import Membership, Project
from specapp.projects.services import member_remove, member_set, project_create
from tests.factories import NOW, PASSWORD, MembershipFactory, ProjectFactory, UserFactory, machine_of, member

pytestmark = pytest.mark.django_db
FIELDS = {
    "name": "Northmere",
    "number": "NM-1",
    "client": "",
    "site": "",
    "page_size": "A3",
    "time_zone": "Europe/Oslo",
}


def test_whoever_starts_a_project_owns_it():
    author = UserFactory()
    project = project_create(author=author, now=NOW, fields=FIELDS)
    assert Membership.objects.get(project=project).role == Role.OWNER
    assert AuditEntry.objects.get().action == "project.create"


def test_whoever_runs_the_installation_may_start_projects(client):
    client.force_login(User.objects.create_superuser("admin", "", PASSWORD))
    assert client.get(reverse("projects:project-new")).status_code == 200


def test_starting_a_project_is_a_right(client):
    client.force_login(UserFactory())
    assert client.post(reverse("projects:project-new"), FIELDS).status_code == 403
    client.force_login(UserFactory(may_start_projects=True))
    response = client.post(reverse("projects:project-new"), FIELDS)
    assert response.url == reverse("projects:project-show", args=[Project.objects.get().pk])


def test_a_time_zone_that_does_not_exist_is_refused_and_kept(client):
    client.force_login(UserFactory(may_start_projects=True))
    response = client.post(reverse("projects:project-new"), {**FIELDS, "time_zone": "Mars/Base"})
    assert response.status_code == 422
    assert response.context["form"]["time_zone"].value() == "Mars/Base"
    assert "Mars/Base" in response.context["form"].errors["time_zone"][0]


def test_times_are_shown_in_the_zone_of_the_project(client):
    project = ProjectFactory(time_zone="Asia/Tokyo")
    client.force_login(member(project, Role.OWNER))
    machine_of(project)
    page = client.get(reverse("projects:project-show", args=[project.pk])).content.decode()
    assert NOW.strftime("%H:%M") == "09:30"
    assert "2026-03-02 18:30" in page


def test_particulars_are_changed_with_was_and_is_on_record(client):
    project = ProjectFactory(**FIELDS)
    client.force_login(member(project, Role.OWNER))
    client.post(reverse("projects:project-edit", args=[project.pk]), {**FIELDS, "name": "Southmere"})
    project.refresh_from_db()
    assert project.name == "Southmere"
    assert AuditEntry.objects.get(action="project.update").data == {"name": ["Northmere", "Southmere"]}


def test_a_project_keeps_an_owner():
    owner = MembershipFactory(role=Role.OWNER)
    project = owner.project
    with pytest.raises(LastOwner):
        member_remove(membership=owner, author=owner.user, now=NOW)
    with pytest.raises(LastOwner):
        member_set(project=project, user=owner.user, role=Role.READER, author=owner.user, now=NOW)
    second = UserFactory()
    member_set(project=project, user=second, role=Role.OWNER, author=owner.user, now=NOW)
    member_remove(membership=owner, author=second, now=NOW)
    assert [item.user for item in project.memberships.all()] == [second]


@pytest.mark.parametrize("typed", ["Okafor", "okafor@plant.example"])
def test_a_member_is_added_by_name_or_address(typed, client):
    project = ProjectFactory()
    client.force_login(member(project, Role.OWNER))
    person = UserFactory(username="okafor")
    client.post(reverse("projects:member-add", args=[project.pk]), {"person": typed, "role": Role.REVIEWER})
    assert Membership.objects.get(project=project, user=person).role == Role.REVIEWER


def test_an_unknown_person_is_refused_and_kept_in_the_form(client):
    project = ProjectFactory()
    client.force_login(member(project, Role.OWNER))
    response = client.post(
        reverse("projects:member-add", args=[project.pk]), {"person": "nobody", "role": Role.READER}
    )
    assert response.status_code == 422
    assert response.context["form"]["person"].value() == "nobody"


def test_removal_acts_at_once(client):
    project = ProjectFactory()
    person = MembershipFactory(project=project, role=Role.READER)
    client.force_login(person.user)
    page = reverse("projects:project-show", args=[project.pk])
    assert client.get(page).status_code == 200
    member_remove(membership=person, author=member(project, Role.OWNER), now=NOW)
    assert client.get(page).status_code == 404
