"""Accounts, sessions, and the people of an installation."""

from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from specapp.core.models import AuditEntry, PasswordLink, User
from specapp.core.people import LastAdministrator, password_link_make, person_administer
from tests.factories import NOW, PASSWORD, UserFactory

pytestmark = pytest.mark.django_db
NEW = "another-long-password"


def signed_in(person, password=PASSWORD):
    client = Client()
    client.post(reverse("core:sign-in"), {"username": person.username, "password": password})
    assert client.session["_auth_user_id"] == str(person.pk)
    return client


def is_in(client):
    return client.get(reverse("projects:project-list")).status_code == 200


@pytest.fixture
def person():
    return UserFactory(username="keller")


@pytest.fixture
def administrator():
    return UserFactory(username="santos", is_superuser=True)


@pytest.fixture
def desk(client, administrator):
    client.force_login(administrator)
    return client


def last(action):
    return AuditEntry.objects.filter(action=action).latest("pk")


def test_signing_in_gives_the_session_a_new_key(client, person):
    client.get(reverse("core:sign-in"))
    session = client.session
    session["display_units"] = "us"
    session.save()
    client.cookies[settings.SESSION_COOKIE_NAME] = before = session.session_key
    client.post(reverse("core:sign-in"), {"username": "keller", "password": PASSWORD})
    assert client.session.session_key != before
    assert client.cookies[settings.SESSION_COOKIE_NAME]["httponly"]
    assert client.cookies[settings.SESSION_COOKIE_NAME]["samesite"] == "Lax"


def test_a_changed_password_ends_every_other_session(person):
    here, elsewhere = signed_in(person), signed_in(person)
    password_link_make(person=person, author=None, now=NOW)
    typed = {"old_password": PASSWORD, "new_password": NEW, "again": NEW}
    assert here.post(reverse("core:password-change"), typed).status_code == 302
    assert is_in(here)
    assert not is_in(elsewhere)
    assert not PasswordLink.objects.filter(withdrawn_at=None).exists()
    assert is_in(signed_in(person, NEW))
    assert last("password.change").data == {}


def test_other_sessions_are_ended_at_will(person):
    here, elsewhere = signed_in(person), signed_in(person)
    here.post(reverse("core:sessions-end"))
    assert is_in(here)
    assert not is_in(elsewhere)


@pytest.mark.parametrize(
    ("first", "second", "field"),
    [
        (NEW, NEW + "x", "again"),
        ("short", "short", "new_password"),
        ("73910482615", "73910482615", "new_password"),
    ],
)
def test_a_new_password_is_typed_twice_and_held_to_the_rules(client, person, first, second, field):
    client.force_login(person)
    typed = {"old_password": PASSWORD, "new_password": first, "again": second}
    answer = client.post(reverse("core:password-change"), typed)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]


def test_somebody_at_an_open_session_cannot_guess_its_password(client, person):
    client.force_login(person)
    typed = {"old_password": "guess", "new_password": NEW, "again": NEW}
    answers = [client.post(reverse("core:password-change"), typed).status_code for _ in range(11)]
    assert answers == [422] * 10 + [429]


def test_another_address_needs_the_password_and_closes_open_links(client, person):
    client.force_login(person)
    password_link_make(person=person, author=None, now=NOW)
    typed = {"name": "Astrid", "email": "new@plant.example"}
    assert client.post(reverse("core:account"), typed).status_code == 422
    assert client.post(reverse("core:account"), {**typed, "password": PASSWORD}).status_code == 302
    person.refresh_from_db()
    assert (person.name, person.email) == ("Astrid", "new@plant.example")
    assert not PasswordLink.objects.filter(withdrawn_at=None).exists()
    assert last("account.change").data == {"fields": ["name", "email"]}


def test_an_address_belongs_to_one_person_in_any_case(client, person):
    UserFactory(email="taken@plant.example")
    client.force_login(person)
    typed = {"name": "A", "email": "TAKEN@plant.example", "password": PASSWORD}
    assert "email" in client.post(reverse("core:account"), typed).context["form"].errors


def test_a_person_is_disabled_at_once_and_old_sessions_stay_ended(desk, person):
    elsewhere = signed_in(person)
    address = reverse("core:person-show", args=[person.pk])
    desk.post(address, {"do": "disable"})
    assert not is_in(elsewhere)
    desk.post(address, {"do": "enable"})
    assert not is_in(elsewhere)
    assert is_in(signed_in(person))
    assert last("person.administer").data == {"is_active": [False, True]}


def test_disabling_closes_the_links_a_person_has_made(administrator, person):
    other = UserFactory()
    link = password_link_make(person=other, author=person, now=NOW)
    person_administer(person=person, author=administrator, now=NOW, changes={"is_active": False})
    link.refresh_from_db()
    assert link.withdrawn_at == NOW


@pytest.mark.parametrize("do", ["disable", "unmake-administrator"])
def test_somebody_must_look_after_the_installation(desk, administrator, do):
    desk.post(reverse("core:person-show", args=[administrator.pk]), {"do": do})
    administrator.refresh_from_db()
    assert (administrator.is_active, administrator.is_superuser) == (True, True)
    with pytest.raises(LastAdministrator):
        person_administer(
            person=administrator, author=administrator, now=NOW, changes={"is_superuser": False}
        )


def test_who_may_start_projects_is_switched_and_anything_else_changes_nothing(desk, person):
    address = reverse("core:person-show", args=[person.pk])
    desk.post(address, {"do": "allow-projects"})
    person.refresh_from_db()
    assert person.can_start_projects
    before = AuditEntry.objects.count()
    desk.post(address, {"do": "delete"})
    assert AuditEntry.objects.count() == before


def test_an_added_person_sets_the_password_by_the_link_shown(desk, administrator):
    answer = desk.post(reverse("core:person-new"), {"username": "vogt", "name": "Ines Vogt"}, follow=True)
    link = answer.context["address"]
    vogt = User.objects.get(username="vogt")
    assert not vogt.has_usable_password()
    other = Client()
    assert other.get(link).status_code == 200
    assert other.post(link, {"new_password": NEW, "again": NEW}).status_code == 302
    assert is_in(signed_in(vogt, NEW))
    assert other.get(link).status_code == 410
    assert last("password.by_link").data["made_by"] == str(administrator)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"username": "KELLER", "name": "x"}, "username"),
        ({"username": "a@b", "name": "x"}, "username"),
        ({"username": "new", "name": "x", "email": "Keller@plant.example"}, "email"),
        ({"username": "new", "name": ""}, "name"),
    ],
)
def test_a_name_or_address_that_cannot_be_is_refused(desk, person, typed, field):
    answer = desk.post(reverse("core:person-new"), typed)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]


def test_pages_of_the_installation_open_for_whoever_looks_after_it(desk, person):
    for name, args in [("people-list", []), ("person-new", []), ("person-show", [person.pk]), ("record", [])]:
        assert desk.get(reverse(f"core:{name}", args=args)).status_code == 200
    assert desk.get(reverse("core:person-show", args=[person.pk + 1000])).status_code == 404


class TestLinks:
    @pytest.fixture
    def link(self, person):
        call_command("password_link", "keller", stdout=(out := StringIO()))
        return "/" + out.getvalue().strip().rsplit(settings.PUBLIC_ADDRESS + "/", 1)[1]

    def test_a_link_ends_every_session_and_is_not_stored(self, person, link):
        elsewhere = signed_in(person)
        row = PasswordLink.objects.get()
        mac = link.rstrip("/").rpartition("-")[2]
        assert mac not in str([getattr(row, field.name) for field in row._meta.fields])
        assert mac not in str(list(AuditEntry.objects.values_list("data")))
        assert Client().post(link, {"new_password": NEW, "again": NEW}).status_code == 302
        assert not is_in(elsewhere)

    def test_looking_at_it_and_failing_use_nothing_up(self, client, link):
        for _ in range(2):
            assert client.get(link).status_code == 200
            assert client.post(link, {"new_password": "x", "again": "x"}).status_code == 422

    @pytest.mark.parametrize("how", ["expired", "withdrawn", "newer one", "disabled"])
    def test_a_closed_link_says_so(self, client, person, link, how):
        if how == "expired":
            PasswordLink.objects.update(expires_at=NOW)
        elif how == "withdrawn":
            PasswordLink.objects.update(withdrawn_at=NOW)
        elif how == "newer one":
            password_link_make(person=person, author=None, now=NOW)
        else:
            User.objects.update(is_active=False)
        assert client.get(link).status_code == 410
        assert client.post(link, {"new_password": NEW, "again": NEW}).status_code == 410
        person.refresh_from_db()
        assert person.check_password(PASSWORD)

    @pytest.mark.parametrize("token", ["1", "x-1", "1-é", "1-", "-", "9" * 30 + "-a", "١-a"])
    def test_a_token_that_was_not_made_here_is_not_found(self, client, link, token):
        assert client.get(reverse("core:password-link", args=[token])).status_code == 404

    def test_a_mac_of_another_link_does_not_fit(self, client, person, link):
        other = password_link_make(person=UserFactory(), author=None, now=NOW)
        forged = link.replace(f"/{PasswordLink.objects.first().pk - 1}-", f"/{other.pk}-")
        assert forged != link
        assert client.get(forged).status_code == 404


def test_the_first_person_is_made_at_the_console_once(client):
    assert b"first_person" in client.get(reverse("core:sign-in")).content
    call_command("first_person", "vogt", "--name", "Ines Vogt", stdout=(out := StringIO()))
    person = User.objects.get()
    assert person.is_superuser
    assert not person.has_usable_password()
    link = out.getvalue().strip().rsplit(settings.PUBLIC_ADDRESS, 1)[1]
    client.post(link, {"new_password": NEW, "again": NEW})
    assert is_in(signed_in(person, NEW))
    assert b"first_person" not in Client().get(reverse("core:sign-in")).content
    with pytest.raises(CommandError, match="looks after this installation already"):
        call_command("first_person", "second")


def test_a_first_name_that_cannot_be_is_named_as_the_problem():
    with pytest.raises(CommandError, match="username: A user name has no @"):
        call_command("first_person", "a@b")
