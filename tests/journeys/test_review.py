"""Two people in two browsers: mark the drawing, propose, adopt, answer, close, check, approve, print."""

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.review.models import Comment, State
from specapp.revisions.models import IssuedDocument, Revision
from tests.factories import PASSWORD, UserFactory, machine_of, member
from tests.journeys.test_accessibility import CONTRAST, opened, violations
from tests.review.addresses import asked
from tests.review.commenting import commented, proposing
from tests.revisions.issuing import frozen

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("unsealed_after"),
]
GROUP, POINT = "BG/B1/radial", "BG/B1/radial/Y"


@pytest.fixture
def machine(project, engineer):
    return machine_of(project, author=engineer, name="minimal_process")


def entered(browser, live_server, person, **how):
    """Return a page of a browser of its own, signed in."""
    page = browser.new_context(viewport={"width": 1440, "height": 1000}, **how).new_page()
    page.goto(live_server.url)
    page.get_by_label("User name or e-mail address").fill(person.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Projects").wait_for()
    return page


def signed(page, address, part):
    page.goto(address)
    page.get_by_role("link", name=f"Sign as {part}").click()
    for box in page.get_by_role("checkbox").all():
        box.check()
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name=f"Sign as {part}").click()
    page.get_by_role("heading", name="Signatures").wait_for()


def test_from_a_marked_drawing_to_an_approved_revision(browser, live_server, project, machine, engineer):
    reviewer, checker, approver = (
        member(project, role) for role in (Role.REVIEWER, Role.REVIEWER, Role.APPROVER)
    )
    desk, other = (entered(browser, live_server, person) for person in (engineer, reviewer))

    def at(name, *more):
        return live_server.url + reverse(name, args=[project.pk, machine.pk, *more])

    # The engineer freezes a candidate and asks for its review.
    desk.goto(at("revisions:revision-list"))
    desk.get_by_role("radio", name="enquiry").check()
    desk.get_by_role("button", name="Freeze this content").click()
    desk.get_by_role("link", name="ask for a review").click()
    desk.get_by_label("For", exact=True).fill("Client review")
    desk.get_by_role("checkbox", name=reviewer.name).check()
    desk.get_by_role("button", name="Ask for this review").click()
    desk.get_by_role("heading", name="Client review").wait_for()
    # The reviewer finds it, marks a frame on the drawing and proposes a trip.
    other.get_by_role("link", name="Reviews waiting for you").click()
    other.get_by_role("link", name="Client review").click()
    other.get_by_role("link", name="Comment sheet and drawings").click()
    drawing = other.locator("[data-mark-here] svg")
    drawing.scroll_into_view_if_needed()
    place = drawing.bounding_box()
    other.mouse.move(place["x"] + 0.2 * place["width"], place["y"] + 0.8 * place["height"])
    other.mouse.down()
    other.mouse.move(place["x"] + 0.3 * place["width"], place["y"] + 0.9 * place["height"])
    other.mouse.up()
    other.get_by_text("Frame at").wait_for()
    other.get_by_label("Item").select_option(POINT)
    other.get_by_label("Field").select_option("trip")
    other.get_by_label("Proposed value").fill("45 um")
    other.get_by_label("Comment", exact=True).fill("The maker states 45.")
    other.get_by_role("button", name="Add to the sheet").click()
    other.get_by_role("link", name="Comment 1").first.wait_for()
    comment = Comment.objects.get()
    assert comment.is_frame
    assert (comment.item, comment.proposed, comment.revision.label) == (GROUP, 45.0, "A")
    # The engineer adopts the value and answers.
    desk.goto(at("review:comment-show", 1))
    desk.get_by_role("button", name="Set this value").click()
    desk.get_by_text("The value of comment 1 is set").wait_for()
    desk.get_by_role("textbox", name="Reply").fill("Taken over.")
    desk.get_by_label("Reply code").select_option("A")
    desk.get_by_role("button", name="Reply").click()
    desk.get_by_text("Replied to comment 1.").wait_for()
    # The reviewer closes, and answers the round.
    other.goto(at("review:comment-show", 1))
    other.get_by_role("button", name="Close comment 1").click()
    other.get_by_text("Comment 1 is closed.").wait_for()
    other.goto(at("review:round-show", machine.review_rounds.get().pk))
    other.get_by_role("radio", name="comments given").check()
    other.get_by_role("button", name="Give this answer").click()
    other.get_by_text("Your answer is kept").wait_for()
    desk.goto(other.url)
    desk.get_by_label("Outcome").fill("Trip set to 45.")
    desk.get_by_label("Code").select_option("A")
    desk.get_by_role("button", name="Consolidate this review").click()
    desk.get_by_text("The review is consolidated.").wait_for()
    # The candidate takes the change in; three people sign, the engineer issues and prints.
    revision = Revision.objects.get()
    desk.goto(at("revisions:revision-show", revision.pk))
    desk.get_by_role("button", name="Freeze again").click()
    desk.get_by_role("heading", name="Signatures").wait_for()
    signed(desk, at("revisions:revision-show", revision.pk), "prepared")
    for person, part in ((checker, "checked"), (approver, "approved")):
        signed(entered(browser, live_server, person), at("revisions:revision-show", revision.pk), part)
    desk.goto(at("revisions:revision-show", revision.pk))
    desk.get_by_role("link", name="Issue", exact=True).click()
    desk.get_by_role("radio", name="For enquiry").check()
    desk.get_by_role("checkbox", name="revision A").check()
    desk.get_by_label("To may be left out", exact=True).fill("Client (invented)")
    desk.get_by_role("button", name="Issue").click()
    desk.get_by_role("heading", name="Documents").wait_for()
    with desk.expect_download() as printed:
        desk.get_by_role("link", name=IssuedDocument.objects.get(key="datasheet").number).click()
    assert printed.value.suggested_filename.endswith(".pdf")
    comment.refresh_from_db()
    assert (comment.state, comment.adopted.value) == (State.CLOSED, 45.0)


def test_new_comments_are_told_and_nothing_moves(browser, live_server, project, machine, engineer):
    commented(machine, engineer)
    page = entered(browser, live_server, engineer)
    page.goto(live_server.url + reverse("review:comment-list", args=[project.pk, machine.pk]))
    page.get_by_label("Comment", exact=True).fill("Half written")
    commented(machine, UserFactory(), text="Of another.")
    with page.expect_response(lambda answer: "news" in answer.url):
        # What the page does every half minute.
        page.evaluate("htmx.ajax('GET', document.querySelector('#news').getAttribute('hx-get'), '#news')")
    page.get_by_role("link", name="1 new, show").wait_for()
    assert page.get_by_label("Comment", exact=True).input_value() == "Half written"
    assert page.get_by_text("Of another.").count() == 0


def test_a_drawing_is_marked_without_scripts(browser, live_server, project, machine, engineer):
    page = entered(browser, live_server, engineer, java_script_enabled=False)
    page.goto(live_server.url + reverse("review:comment-list", args=[project.pk, machine.pk]))
    page.get_by_label("Item").select_option(POINT)
    page.get_by_label("Comment", exact=True).fill("Here.")
    page.get_by_role("button", name="Add to the sheet").click()
    page.get_by_role("link", name="Comment 1").first.wait_for()
    assert Comment.objects.get().x_mm is not None


@pytest.fixture
def pages(project, machine, engineer):
    reviewer = member(project, Role.REVIEWER)
    revision = frozen(machine, author=engineer)
    review = asked(machine, [reviewer, engineer], lead=engineer)
    proposing(machine, text="45", value=45.0, author=reviewer)
    proposing(machine, text="50", value=50.0, author=engineer)
    where = [project.pk, machine.pk]

    def to(name, *args):
        return reverse(f"review:{name}", args=args)

    return [
        reverse("review:my-reviews"),
        to("code-list", project.pk),
        to("comment-list", *where),
        f"{to('comment-list', *where)}?revision={revision.pk}",
        f"{to('comment-new', *where)}?scene=arrangement",
        to("comment-show", *where, 1),
        f"{to('item-comments', *where)}?item={POINT}",
        to("look-list", *where),
        f"{to('change-list', *where)}?was={revision.pk}",
        to("round-list", *where),
        to("round-show", *where, review.pk),
        to("comment-fates", *where, revision.pk),
    ]


def test_every_page_at_the_desk_on_a_phone_and_in_the_dark(signed_in, live_server, pages, console):
    page = signed_in
    wrong = {}
    for path in pages:
        page.set_viewport_size({"width": 1440, "height": 900})
        page.emulate_media(color_scheme="light")
        opened(page, live_server.url + path)
        found = {"desk": violations(page)}
        page.set_viewport_size({"width": 390, "height": 900})
        found["phone"] = violations(page)
        found["too wide by"] = page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        page.emulate_media(color_scheme="dark")
        found["dark"] = violations(page, CONTRAST)
        if any(found.values()):
            wrong[path] = found
    assert wrong == {}
    assert console == []
