"""Sign-in by name or address, what an expired sign-in keeps, and passwords."""

import pytest
from django.urls import reverse

from specapp.core.models import User
from tests.factories import PASSWORD, UserFactory

pytestmark = pytest.mark.django_db


def sign_in(client, name, password=PASSWORD, **extra):
    return client.post(reverse("core:sign-in"), {"username": name, "password": password, **extra})


@pytest.mark.parametrize(
    "typed", ["keller", "KELLER", "keller@plant.example", "Keller@Plant.Example", " keller "]
)
def test_name_or_address_in_any_case_signs_in(client, typed):
    person = UserFactory(username="keller")
    response = sign_in(client, typed)
    assert response.status_code == 302
    assert client.session["_auth_user_id"] == str(person.pk)


@pytest.mark.parametrize("typed", ["nobody", "nobody@plant.example", ""])
def test_unknown_name_is_refused_and_kept_in_the_form(client, typed):
    response = sign_in(client, typed)
    assert response.status_code == 200
    assert "_auth_user_id" not in client.session
    assert response.context["form"]["username"].value() == typed


def test_wrong_password_is_refused(client):
    UserFactory(username="keller")
    assert "_auth_user_id" not in (sign_in(client, "keller", "another"), client.session)[1]


def test_a_person_who_has_left_does_not_sign_in(client):
    UserFactory(username="keller", is_active=False)
    sign_in(client, "keller")
    assert "_auth_user_id" not in client.session


def test_user_name_may_not_look_like_an_address():
    person = User(username="someone@plant.example", email="other@plant.example", password="x")
    with pytest.raises(Exception, match="no @"):
        person.full_clean()


def test_one_address_belongs_to_one_person():
    UserFactory(email="one@plant.example")
    with pytest.raises(Exception, match="Someone else has this e-mail address"):
        User(username="two", email="ONE@plant.example", password="x").full_clean()


def test_sign_in_returns_to_the_page_asked_for_but_never_to_another_site(client):
    UserFactory(username="keller")
    asked = reverse("core:password-change")
    assert sign_in(client, "keller", next=asked).url == asked
    client.logout()
    assert sign_in(client, "keller", next="https://elsewhere.example/").url == reverse(
        "projects:project-list"
    )


def test_signing_out_needs_a_post(client):
    client.force_login(UserFactory())
    assert client.get(reverse("core:sign-out")).status_code == 405
    client.post(reverse("core:sign-out"))
    assert "_auth_user_id" not in client.session


def test_password_change_asks_for_the_old_one(client):
    person = UserFactory()
    client.force_login(person)
    new = "another-long-password"
    address = reverse("core:password-change")
    wrong = client.post(address, {"old_password": "x", "new_password": new, "again": new})
    assert "old_password" in wrong.context["form"].errors
    client.post(address, {"old_password": PASSWORD, "new_password": new, "again": new})
    person.refresh_from_db()
    assert person.check_password(new)


def test_fragment_request_after_expiry_sends_the_browser_to_sign_in(client):
    response = client.get(
        "/", headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/?units=us"}
    )
    assert response.headers["HX-Redirect"] == f"{reverse('core:sign-in')}?next=/%3Funits%3Dus"
