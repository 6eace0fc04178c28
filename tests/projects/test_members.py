"""Who works on a project: invitations, roles, removal at once, and how far an owner helps with passwords."""

import pytest
from django.test import Client
from django.urls import reverse

from specapp.core.links import link_token
from specapp.core.models import AuditEntry, User
from specapp.core.people import LinkClosed
from specapp.core.roles import Role
from specapp.projects.inviting import (
    AlreadyMember,
    invitation_accept,
    invitation_make,
    invitation_withdraw,
)
from specapp.projects.models import Invitation, Membership
from tests.factories import NOW, MembershipFactory, ProjectFactory, UserFactory, machine_of, member

pytestmark = pytest.mark.django_db
NEW = "another-long-password"
ACCOUNT = {"username": "holt", "name": "M Holt", "new_password": NEW, "again": NEW}


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def owner(project):
    return member(project, Role.OWNER)


@pytest.fixture
def desk(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def invited(desk, project):
    """Return an invitation and its address, as the owner's page shows it."""
    told = {"for_whom": "Mr Holt", "role": Role.ENGINEER}
    answer = desk.post(reverse("projects:invitation-new", args=[project.pk]), told, follow=True)
    ((row, address),) = answer.context["invitations"]
    return row, address


def role_of(person, project):
    return Membership.objects.filter(project=project, user=person).values_list("role", flat=True).first()


def test_an_invitation_makes_an_account_and_a_member_once(invited, project):
    _, address = invited
    guest = Client()
    assert guest.get(address).status_code == 200
    assert guest.post(address, ACCOUNT).url == reverse("projects:project-show", args=[project.pk])
    holt = User.objects.get(username="holt")
    assert role_of(holt, project) == Role.ENGINEER
    assert guest.session["_auth_user_id"] == str(holt.pk)
    assert Client().post(address, {**ACCOUNT, "username": "second"}).status_code == 410
    assert not User.objects.filter(username="second").exists()
    entry = AuditEntry.objects.get(action="member.join")
    assert (entry.actor, entry.project_id, entry.data["role"]) == (holt, project.pk, Role.ENGINEER)


def test_somebody_who_signs_in_here_joins_with_that_account(invited, project):
    person, guest = UserFactory(), Client()
    guest.force_login(person)
    guest.post(invited[1])
    assert role_of(person, project) == Role.ENGINEER


def test_a_member_keeps_the_role_and_the_link_stays_open(invited, project):
    reader = member(project, Role.READER)
    with pytest.raises(AlreadyMember):
        invitation_accept(invitation=invited[0], person=reader, now=NOW)
    assert role_of(reader, project) == Role.READER
    assert Invitation.objects.get().used_at is None


@pytest.mark.parametrize("how", ["withdrawn", "expired", "maker removed", "maker disabled", "maker no owner"])
def test_a_closed_invitation_lets_nobody_in(desk, invited, project, owner, how):
    row, address = invited
    if how == "withdrawn":
        desk.post(reverse("projects:invitation-withdraw", args=[project.pk, row.pk]))
    elif how == "expired":
        Invitation.objects.update(expires_at=NOW)
    elif how == "maker removed":
        owner.memberships.all().delete()
    elif how == "maker disabled":
        User.objects.filter(pk=owner.pk).update(is_active=False)
    else:
        owner.memberships.update(role=Role.ENGINEER)
    guest = Client()
    assert guest.get(address).status_code == 410
    assert guest.post(address, ACCOUNT).status_code == 410
    assert not User.objects.filter(username="holt").exists()


def test_of_two_who_come_at_once_one_is_let_in(invited, project, owner):
    row = invited[0]
    stale = Invitation.objects.select_related("project", "made_by").get(pk=row.pk)
    invitation_accept(invitation=row, person=UserFactory(), now=NOW)
    with pytest.raises(LinkClosed):
        invitation_accept(invitation=stale, person=UserFactory(), now=NOW)
    assert not invitation_withdraw(invitation=stale, author=owner, now=NOW)
    assert project.memberships.count() == 2


def test_a_token_of_one_kind_of_link_opens_no_other(client, owner, project):
    row = invitation_make(project=project, role=Role.READER, for_whom="x", author=owner, now=NOW)
    assert client.get(reverse("core:password-link", args=[link_token(row)])).status_code == 404


def test_a_removed_member_is_out_at_the_next_click(desk, project):
    reader, elsewhere = member(project, Role.READER), Client()
    elsewhere.force_login(reader)
    machine = machine_of(project)
    address = reverse("projects:machine-show", args=[project.pk, machine.pk])
    assert elsewhere.get(address).status_code == 200
    place = [project.pk, reader.memberships.get().pk]
    desk.post(reverse("projects:member-leave", args=place))
    assert elsewhere.get(address).status_code == 404


def test_an_owner_who_gives_the_role_away_has_no_list_any_more(desk, project, owner):
    member(project, Role.OWNER)
    told = {"person": owner.username, "role": Role.READER}
    answer = desk.post(reverse("projects:member-add", args=[project.pk]), told)
    assert answer.url == reverse("projects:project-list")
    assert role_of(owner, project) == Role.READER


def test_an_owner_helps_with_a_password_that_opens_only_own_projects(desk, project):
    reader = member(project, Role.READER)
    address = reverse("projects:member-link", args=[project.pk, reader.memberships.get().pk])
    shown = desk.post(address, follow=True)
    (link,) = [told for row, _, told in shown.context["members"] if row.user == reader]
    assert Client().post(link, {"new_password": NEW, "again": NEW}).status_code == 302
    reader.refresh_from_db()
    assert reader.check_password(NEW)
    assert AuditEntry.objects.get(action="password.link").project_id == project.pk


@pytest.mark.parametrize("why", ["elsewhere too", "administrator", "may start projects", "disabled", "self"])
def test_an_owner_makes_no_link_that_opens_more(desk, project, owner, why):
    person = owner if why == "self" else member(project, Role.READER)
    if why == "elsewhere too":
        MembershipFactory(user=person)
    changed = {
        "administrator": {"is_superuser": True},
        "may start projects": {"may_start_projects": True},
        "disabled": {"is_active": False},
    }.get(why)
    if changed:
        User.objects.filter(pk=person.pk).update(**changed)
    place = [project.pk, person.memberships.get(project=project).pk]
    assert desk.post(reverse("projects:member-link", args=place)).status_code == 403
    assert not person.password_links.exists()


class TestRecord:
    @pytest.fixture
    def address(self, project):
        return reverse("projects:project-record", args=[project.pk])

    @pytest.fixture
    def done(self, project, owner):
        engineer = member(project, Role.ENGINEER)
        for tag in ("K-1", "K-2"):
            machine_of(project, author=engineer, tag=tag)
        invitation_make(
            project=project,
            role=Role.READER,
            for_whom='=HYPERLINK("x")',
            author=owner,
            now=NOW.replace(day=9),
        )
        machine_of(ProjectFactory(), tag="K-ELSEWHERE")
        return engineer

    def what(self, answer):
        return [row.what for row in answer.context["rows"]]

    def test_it_holds_this_project_alone_the_latest_first(self, desk, address, done):
        assert self.what(desk.get(address)) == ["member invited", "machine made", "machine made"]

    @pytest.mark.parametrize(
        ("query", "count"),
        [
            ({"action": "machine.create"}, 2),
            ({"about": "k-2"}, 1),
            ({"first": "2026-03-09"}, 1),
            ({"last": "2026-03-08"}, 2),
            ({"first": "2026-03-02", "last": "2026-03-09"}, 3),
            ({"first": "03/04"}, 3),
            ({"first": "0001-01-01", "last": "9999-12-31"}, 3),
            ({"person": "nobody"}, 3),
            ({"page": "99"}, 3),
        ],
    )
    def test_it_is_narrowed_by_what_and_when(self, desk, address, done, query, count):
        answer = desk.get(address, query)
        assert answer.status_code == 200
        assert len(answer.context["rows"]) == count

    def test_it_is_narrowed_by_person(self, desk, address, done):
        rows = desk.get(address, {"person": str(done)}).context["rows"]
        assert {row.entry.actor for row in rows} == {done}

    def test_pages_cost_the_same_number_of_queries(
        self, desk, address, done, project, django_assert_max_num_queries
    ):
        with django_assert_max_num_queries(8):
            desk.get(address)

    def test_as_csv_it_is_whole_safe_and_recorded(self, desk, address, done, project):
        answer = desk.get(address, {"as": "csv"})
        lines = answer.content.decode("utf-8-sig").splitlines()
        assert len(lines) == 4
        assert "'=HYPERLINK" in lines[-1]
        assert AuditEntry.objects.get(action="file.download").project_id == project.pk
