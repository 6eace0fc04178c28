"""Mail says how many and where; what people typed, and every value, stays inside."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.core import mail
from django.core.management import CommandError, call_command
from django.urls import reverse

from specapp.core.mail.digest import asks_send, digests_send
from specapp.core.models import AuditEntry, PasswordLink
from specapp.core.roles import Role
from specapp.review.services.comments import comment_reply
from specapp.review.services.rounds import round_open
from tests.factories import NOW, PASSWORD, ProjectFactory, UserFactory, machine_of, member
from tests.review.addresses import asked as asked_of
from tests.review.commenting import commented
from tests.revisions.issuing import frozen
from tests.revisions.rows import issued_rows

pytestmark = pytest.mark.django_db
SECRETS = ("Secretplant", "J-SECRET", "K-SECRET", "Secretly wrong", "47.5", "Person", "inter-discipline")
LATER = NOW + timedelta(hours=23)


@pytest.fixture(autouse=True)
def has_mail(settings):
    settings.HAS_MAIL = True
    settings.DEFAULT_FROM_EMAIL = "specification@plant.example"
    settings.PUBLIC_ADDRESS = "https://specification.example"


@pytest.fixture
def project():
    return ProjectFactory(name="Secretplant", number="J-SECRET", client="Secretplant")


@pytest.fixture
def machine(project):
    return machine_of(
        project, author=member(project, Role.ENGINEER), tag="K-SECRET", service="Secretly wrong"
    )


@pytest.fixture
def reviewer(project):
    return member(project, Role.REVIEWER)


@pytest.fixture
def asked(machine, reviewer):
    return round_open(
        machine=machine,
        purpose="inter-discipline check",
        due_date=(NOW + timedelta(days=9)).date(),
        lead=machine.created_by,
        reviewers=[reviewer],
        author=machine.created_by,
        now=NOW,
    )


def to(person):
    return [each for each in mail.outbox if each.to == [person.email]]


def holds_no_secret(message):
    whole = f"{message.subject}{message.body}{message.extra_headers}"
    return [secret for secret in SECRETS if secret in whole]


def test_a_digest_counts_what_is_new_and_what_waits(machine, reviewer, asked):
    commented(machine)
    sent = digests_send(LATER)
    assert sent.failed == 0
    (message,) = to(reviewer)
    assert "- 1 new comment\n" in message.body
    assert "- 1 review that you are asked to answer\n" in message.body
    news = reverse("review:comment-news", args=[machine.project_id, machine.pk])
    assert f"https://specification.example{news}?after=0\n" in message.body
    answer = reverse("review:round-show", args=[machine.project_id, machine.pk, asked.pk])
    assert f"https://specification.example{answer}\n" in message.body
    assert [holds_no_secret(each) for each in mail.outbox] == [[]] * len(mail.outbox)


def test_a_digest_comes_once_a_day_and_not_when_there_is_nothing(machine, reviewer):
    stranger = UserFactory()
    commented(machine)
    digests_send(LATER)
    digests_send(LATER + timedelta(hours=1))
    assert len(to(reviewer)) == 1
    digests_send(LATER + timedelta(days=1))
    assert len(to(reviewer)) == 1
    assert to(stranger) == []


@pytest.mark.parametrize("why", ["opted out", "disabled", "removed"])
def test_who_does_not_want_it_or_has_left_gets_none(machine, reviewer, asked, why):
    commented(machine)
    if why == "removed":
        reviewer.memberships.all().delete()
    else:
        type(reviewer).objects.filter(pk=reviewer.pk).update(
            **{"is_active": False} if why == "disabled" else {"wants_digest": False, "wants_asks": False}
        )
    digests_send(LATER)
    asks_send(LATER)
    assert to(reviewer) == []


def test_an_internal_comment_is_not_counted_for_people_outside(machine, project):
    client_person = member(project, Role.CLIENT)
    commented(machine)
    digests_send(LATER)
    assert to(client_person) == []


def test_being_asked_is_told_at_once_and_once(machine, reviewer, asked):
    asks_send(NOW)
    asks_send(NOW + timedelta(minutes=5))
    (message,) = to(reviewer)
    assert "1 review that you are asked to answer" in message.body
    assert "comment" not in message.body.partition("Sign in")[0]
    assert holds_no_secret(message) == []


def test_every_link_of_a_mail_leads_after_signing_in_to_the_page_that_it_tells_of(client, machine, project):
    approver = member(project, Role.APPROVER)
    review = asked_of(machine)
    own = commented(machine, machine.created_by)
    for _ in range(2):
        commented(machine, approver, text="Secretly wrong")
    comment_reply(comment=own, expected_version=own.version, text="47.5", code=None, author=approver, now=NOW)
    issue = issued_rows(machine)
    candidate = frozen(machine, author=machine.created_by)
    reader = member(project, Role.ENGINEER)
    digests_send(LATER)
    assert [holds_no_secret(each) for each in mail.outbox] == [[]] * len(mail.outbox)
    (message,), (told_reader,) = to(machine.created_by), to(reader)
    place = [machine.project_id, machine.pk]
    sheet = reverse("review:comment-list", args=place)
    assert led_to(client, message, machine.created_by) == {
        "1 review that you are asked to answer": reverse("review:round-show", args=[*place, review.pk]),
        "1 revision that you are asked to sign": reverse(
            "revisions:revision-show", args=[*place, candidate.pk]
        ),
        "2 new comments": f"{sheet}?page=1",
        "1 comment of yours that was answered": f"{sheet}?mine=1",
    }
    assert led_to(client, told_reader, reader)["1 new issue"] == reverse(
        "revisions:issue-list", args=[issue.project_id]
    )


def led_to(client, message, person):
    """Return where each line of a mail leads somebody who signs in on the way."""
    lines = [line.strip(" -") for line in message.body.splitlines() if line[:2] in ("- ", "  ")]
    shown = {}
    for words, address in zip(lines[::2], lines[1::2], strict=True):
        client.logout()
        asked = client.get(address.removeprefix(settings.PUBLIC_ADDRESS))
        assert asked.status_code == 302
        typed = {"username": person.username, "password": PASSWORD}
        page = client.post(asked.url, typed, follow=True)
        assert page.status_code == 200
        shown[words] = page.redirect_chain[-1][0].partition("#")[0]
    return shown


def test_who_may_only_read_by_now_is_no_longer_asked(machine, reviewer, asked):
    reviewer.memberships.update(role=Role.READER)
    asks_send(NOW)
    assert to(reviewer) == []


def test_a_candidate_asks_who_may_sign_next(machine, reviewer):
    revision = frozen(machine, author=machine.created_by)
    asks_send(NOW)
    (message,) = mail.outbox
    assert message.to == [machine.created_by.email]
    assert "1 revision that you are asked to sign" in message.body
    assert (
        reverse("revisions:revision-show", args=[machine.project_id, machine.pk, revision.pk]) in message.body
    )
    assert holds_no_secret(message) == []


def test_one_address_that_fails_keeps_nobody_else_from_mail(machine, reviewer, asked, monkeypatch, caplog):
    other = member(machine.project, Role.REVIEWER)
    commented(machine)
    kept = mail.EmailMessage.send

    def send(message, *args, **kwargs):
        if message.to == [reviewer.email]:
            raise ConnectionRefusedError("no")
        return kept(message, *args, **kwargs)

    monkeypatch.setattr(mail.EmailMessage, "send", send)
    assert digests_send(LATER).failed == 1
    assert len(to(other)) == 1
    monkeypatch.undo()
    digests_send(LATER + timedelta(minutes=1))
    assert len(to(reviewer)) == 1


def test_the_command_needs_a_mail_server(settings):
    settings.HAS_MAIL = False
    with pytest.raises(CommandError, match="SPECAPP_MAIL_URL"):
        call_command("send_digest")


class TestForgotten:
    def ask(self, client, typed):
        return client.post(reverse("core:password-forgotten"), {"person": typed})

    def test_the_answer_is_the_same_whoever_is_asked_for(self, client):
        person = UserFactory(username="keller")
        answers = [self.ask(client, typed).content for typed in ("keller", "nobody", "KELLER@plant.example")]
        assert len({each.partition(b"<main")[2] for each in answers}) == 1
        assert len(to(person)) == 2
        link = mail.outbox[-1].body.partition("https://specification.example")[2].split()[0]
        assert client.get(link).status_code == 200
        assert PasswordLink.objects.filter(withdrawn_at=None).count() == 1

    def test_a_mailbox_is_not_flooded(self, client):
        person = UserFactory(username="keller")
        answers = [self.ask(client, "keller").status_code for _ in range(11)]
        assert answers == [200] * 10 + [429]
        assert len(to(person)) == 3
        assert AuditEntry.objects.filter(action="password.link").count() == 3

    def test_without_mail_the_page_says_whom_to_ask(self, client, settings):
        settings.HAS_MAIL = False
        UserFactory(username="keller")
        assert self.ask(client, "keller").status_code == 422
        assert PasswordLink.objects.count() == 0
        assert b"password_link" in client.get(reverse("core:password-forgotten")).content


def test_a_person_chooses_what_is_mailed(client):
    person = UserFactory()
    client.force_login(person)
    client.post(reverse("core:account"), {"name": "A", "email": person.email, "wants_asks": "on"})
    person.refresh_from_db()
    assert (person.wants_digest, person.wants_asks) == (False, True)
