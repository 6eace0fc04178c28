"""From a candidate to an issued package in the browser; accessibility of the pages of revisions."""

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.revisions.models import Issue, IssuedDocument, Revision
from tests.factories import PASSWORD, UserFactory, machine_of
from tests.journeys.test_accessibility import wrong_with
from tests.revisions.issuing import described_anew, frozen, signed
from tests.revisions.rows import issued_rows

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("unsealed_after"),
]


@pytest.fixture
def machine(project):
    return machine_of(project, author=UserFactory(), name="minimal_packaged")


def test_freeze_sign_issue_and_look_a_sheet_up(signed_in, live_server, project, machine, console):
    page = signed_in
    page.goto(live_server.url + reverse("revisions:revision-list", args=[project.pk, machine.pk]))
    page.get_by_role("radio", name="review").check()
    page.get_by_role("button", name="Freeze this content").click()
    page.get_by_role("link", name="Sign as prepared").click()
    page.get_by_role("checkbox").check()
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Sign as prepared").click()
    page.get_by_role("link", name="Issue", exact=True).click()
    page.get_by_role("radio", name="For review").check()
    page.get_by_role("checkbox", name="revision A").check()
    page.get_by_role("checkbox", name="Every maker of the project").check()
    page.get_by_label("To may be left out", exact=True).fill("Maker of the machine (invented)")
    page.get_by_role("button", name="Issue").click()
    page.get_by_role("heading", name="Documents").wait_for()
    document = IssuedDocument.objects.get(key="datasheet")
    assert Issue.objects.get().revisions.get().label == "A"
    page.goto(live_server.url + reverse("revisions:sheet-find"))
    page.get_by_label("Code on the sheet").fill(document.code)
    page.get_by_role("button", name="Look up", exact=True).click()
    page.get_by_role("heading", name="Current").wait_for()
    page.goto(live_server.url + reverse("revisions:sheet-find"))
    content = bytes(document.file.content)
    page.get_by_label("Issued file").set_input_files(
        {"name": "sheet.pdf", "mimeType": "application/pdf", "buffer": content}
    )
    page.get_by_role("button", name="Look up this file").click()
    page.get_by_text("byte for byte").wait_for()
    assert console == []


def test_it_works_without_scripts(browser, live_server, engineer, project, machine):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.url)
    page.get_by_label("User name or e-mail address").fill(engineer.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.goto(live_server.url + reverse("revisions:revision-list", args=[project.pk, machine.pk]))
    page.get_by_role("radio", name="review").check()
    page.get_by_role("button", name="Freeze this content").click()
    page.get_by_role("heading", name="Signatures").wait_for()
    context.close()
    assert Revision.objects.get().label == "A"


@pytest.fixture
def pages(project, machine, engineer):
    """Addresses with a superseded and a current revision, a signed candidate that has moved, and another."""
    old = issued_rows(machine, sent_to=[engineer, Role.MAKER])
    described_anew(machine, engineer, service="Nitrogen")
    issued_rows(machine)
    moved = frozen(machine)
    signed(moved)
    described_anew(machine, engineer, service="Air")
    other = frozen(machine_of(project, author=UserFactory(), tag="K-9"), "CONSTRUCTION")
    first = old.revisions.get()
    where = [project.pk, machine.pk]

    def to(name, *args):
        return reverse(f"revisions:{name}", args=args)

    return [
        to("revision-list", *where),
        to("revision-list", project.pk, machine_of(project, tag="K-10").pk),
        to("revision-show", *where, moved.pk),
        to("revision-show", *where, first.pk),
        to("revision-sign", project.pk, other.machine_id, other.pk, "PREPARED"),
        to("revision-compare", *where),
        to("hold-list", *where),
        to("issue-list", project.pk),
        to("issue-new", project.pk),
        to("issue-show", project.pk, old.pk),
        to("register-list", project.pk),
        to("register-edit", project.pk, machine.register.first().pk),
        to("numbering-edit", project.pk),
        to("sheet-find"),
        to("sheet-show", old.documents.get(key="datasheet").code),
    ]


def test_every_page(signed_in, live_server, pages):
    assert wrong_with(signed_in, [live_server.url + path for path in pages]) == {}
