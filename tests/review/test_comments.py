"""The life of a comment: numbered, answered by code, adopted with its provenance, closed."""

import pytest

from specapp.core.models import AuditEntry
from specapp.domain.problems import InputErrors
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.errors import StaleVersion
from specapp.review.attachments import LARGEST_BYTES, paper_of
from specapp.review.codes import reply_codes, reply_codes_set
from specapp.review.errors import NotNow, StaleComment
from specapp.review.models import Closes, Comment, Entry, ReplyCode, State
from specapp.review.selectors import contradictions
from specapp.review.services.comments import (
    Place,
    comment_adopt,
    comment_attach,
    comment_change,
    comment_close,
    comment_reopen,
    comment_reply,
)
from tests.factories import NOW, UserFactory
from tests.review.commenting import GROUP, commented, fresh, proposing, reviewed, said

pytestmark = pytest.mark.django_db


def code_of(machine, mark):
    return next(code for code in reply_codes(machine.project) if code.code == mark)


def replied(comment, mark="A", author=None, text="Taken over."):
    return comment_reply(
        comment=comment,
        expected_version=comment.version,
        text=text,
        code=code_of(comment.machine, mark) if mark else None,
        author=author or UserFactory(),
        now=NOW,
    )


def closed(comment, author, reason="", may_answer=False):
    return comment_close(
        comment=comment,
        expected_version=comment.version,
        reason=reason,
        may_answer=may_answer,
        author=author,
        now=NOW,
    )


def adopted(comment, author, reason="", machine_version=None):
    comment.machine.refresh_from_db()
    return comment_adopt(
        comment=comment,
        expected_version=comment.version,
        machine_version=machine_version or comment.machine.version,
        reason=reason,
        author=author,
        now=NOW,
    )


def test_numbers_run_by_machine():
    machine, person = reviewed()
    other, _ = reviewed()
    assert [commented(machine, person).number for _ in range(3)] == [1, 2, 3]
    assert commented(other).number == 1


def test_a_reply_with_a_code_answers_and_one_without_does_not():
    machine, _ = reviewed()
    comment = commented(machine)
    replied(comment, mark=None)
    assert fresh(comment).state == State.OPEN
    replied(fresh(comment), mark="N")
    comment = fresh(comment)
    entry = comment.entries.last()
    assert comment.state == State.ANSWERED
    assert (entry.may_proceed, entry.resubmit, entry.closes) == (False, True, Closes.COMMENTER)


def test_a_reply_without_words_is_refused():
    machine, _ = reviewed()
    with pytest.raises(InputErrors) as errors:
        replied(commented(machine), text=" \x00 ")
    assert errors.value.problems[0].path == "reply"


def test_a_code_that_closes_by_itself_closes_and_replies_keep_what_their_code_meant():
    machine, owner = reviewed()
    own = ReplyCode(code="1", meaning="noted", may_proceed=True, resubmit=False, closes=Closes.REPLY)
    reply_codes_set(project=machine.project, codes=[own], author=owner, now=NOW)
    comment = commented(machine)
    replied(comment, mark="1")
    reply_codes_set(project=machine.project, codes=[], author=owner, now=NOW)
    assert fresh(comment).state == State.CLOSED
    assert fresh(comment).entries.last().code_meaning == "noted"
    assert [code.code for code in reply_codes(machine.project)] == ["A", "P", "N", "C", "L"]


def test_codes_are_told_all_that_is_wrong_with_them():
    machine, owner = reviewed()
    codes = [
        ReplyCode(code=code, meaning=meaning, may_proceed=True, resubmit=True, closes=closes)
        for code, meaning, closes in (("A", "one", "LEAD"), ("a", "", "LEAD"), ("", "x", "NOBODY"))
    ]
    with pytest.raises(InputErrors) as errors:
        reply_codes_set(project=machine.project, codes=codes, author=owner, now=NOW)
    assert [problem.path for problem in errors.value.problems] == [
        "line 2, code",
        "line 2, meaning",
        "line 3, code",
        "line 3, closes",
    ]


def test_the_commenter_closes_without_a_reason():
    machine, person = reviewed()
    comment = closed(commented(machine, person), person)
    assert comment.state == State.CLOSED
    assert not comment.entries.last().on_behalf


def test_others_close_on_behalf_with_a_reason_only():
    machine, person = reviewed()
    comment = commented(machine)
    with pytest.raises(InputErrors):
        closed(comment, person, may_answer=True)
    with pytest.raises(NotNow):
        closed(comment, person, reason="Because.", may_answer=False)
    assert closed(comment, person, reason="Agreed by telephone.", may_answer=True).entries.last().on_behalf


def test_where_the_code_says_so_the_lead_closes_without_a_reason():
    machine, person = reviewed()
    comment = commented(machine)
    replied(comment, mark="L")
    assert closed(fresh(comment), person, may_answer=True).state == State.CLOSED


def test_a_closed_comment_is_opened_again_with_a_reason():
    machine, person = reviewed()
    comment = closed(commented(machine, person), person)
    with pytest.raises(NotNow):
        replied(comment)
    with pytest.raises(InputErrors):
        comment_reopen(comment=comment, expected_version=2, reason="", author=person, now=NOW)
    again = comment_reopen(
        comment=comment, expected_version=2, reason="Not built in.", author=person, now=NOW
    )
    assert again.state == State.OPEN


def test_an_old_page_changes_nothing():
    machine, person = reviewed()
    comment = commented(machine, person)
    replied(comment)
    with pytest.raises(StaleComment):
        closed(comment, person)
    assert fresh(comment).state == State.ANSWERED


def test_what_is_written_changes_only_before_it_is_answered_and_by_its_author():
    machine, person = reviewed()
    comment = commented(machine, person)

    def changed(author, version):
        return comment_change(
            comment=comment, expected_version=version, said=said("Another text."), author=author, now=NOW
        )

    with pytest.raises(NotNow):
        changed(UserFactory(), 1)
    assert changed(person, 1).text == "Another text."
    assert comment.entries.last().text == comment.text
    replied(fresh(comment))
    with pytest.raises(NotNow):
        changed(person, 3)


def test_adopting_sets_the_value_with_its_provenance():
    machine, person = reviewed()
    commenter = UserFactory(name="R. Reviewer")
    comment = adopted(proposing(machine, author=commenter), person, reason="As the maker's data sheet.")
    machine.refresh_from_db()
    point = next(p for p in machine_proposal(machine).points if p.voting_group == GROUP)
    assert point.setpoints.trip.value == 45.0
    assert comment.adopted.reason == "Comment 1, R. Reviewer, 2026-03-02: As the maker's data sheet."
    assert comment.adopted.author == person
    with pytest.raises(NotNow):
        adopted(comment, person)


def test_adopting_says_nothing_of_the_comment_unasked():
    machine, person = reviewed()
    comment = adopted(proposing(machine, author=UserFactory(name="R. Reviewer")), person)
    assert comment.adopted.reason == "Comment 1, R. Reviewer, 2026-03-02"


def test_adopting_from_an_old_page_sets_nothing():
    machine, person = reviewed()
    first, second = proposing(machine), proposing(machine, "50", 50.0)
    version = machine.version
    adopted(first, person)
    with pytest.raises(StaleVersion):
        adopted(second, person, machine_version=version)
    assert fresh(second).adopted is None


def test_a_comment_without_a_value_cannot_be_adopted():
    machine, person = reviewed()
    with pytest.raises(NotNow):
        adopted(commented(machine), person)


def test_contradicting_proposals_are_pointed_out_until_one_is_closed():
    machine, person = reviewed()
    first, _, third = (
        proposing(machine, "45", 45.0, person),
        proposing(machine, "45.0 um", 45.0),
        proposing(machine, "50", 50.0, person),
    )
    commented(machine, place=Place(item=GROUP))
    (found,) = contradictions(Comment.objects.filter(machine=machine))
    assert [number for number, _ in found.proposals] == [1, 2, 3]
    closed(third, person)
    assert contradictions(Comment.objects.filter(machine=machine)) == []
    assert first.number == 1


def test_every_step_is_recorded():
    machine, person = reviewed()
    comment = proposing(machine, author=person)
    replied(comment)
    adopted(fresh(comment), person)
    closed(fresh(comment), person)
    actions = list(AuditEntry.objects.filter(action__startswith="comment.").values_list("action", flat=True))
    assert actions == ["comment.add", "comment.reply", "comment.adopt", "comment.close"]
    assert Entry.objects.filter(comment=comment).count() == 3


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"%PDF-1.7 x", "pdf"),
        (b"\x89PNG\r\n\x1a\n", "png"),
        (b"\xff\xd8\xff\xe0", "jpg"),
        ("Öl, 41 µm".encode(), "txt"),
    ],
)
def test_the_kind_of_an_attachment_is_told_by_its_content(content, kind):
    assert paper_of("C:\\papers\\../wild name.exe", content).name == f"wild-name.{kind}"


@pytest.mark.parametrize(
    "content", [b"", b"MZ\x00\x00", b"PK\x03\x04 no archive", b"\xfe\xff\x00a", b"x" * (LARGEST_BYTES + 1)]
)
def test_other_attachments_are_refused(content):
    with pytest.raises(InputErrors):
        paper_of("data.pdf", content)


def test_a_text_of_exactly_the_largest_size_is_kept():
    assert len(paper_of("data.txt", b"x" * LARGEST_BYTES).content) == LARGEST_BYTES


def test_a_comment_holds_so_many_attachments_and_no_more():
    machine, person = reviewed()
    comment = commented(machine)
    paper = paper_of("a.txt", b"a")
    for _ in range(5):
        comment_attach(comment=comment, paper=paper, author=person, now=NOW)
    with pytest.raises(NotNow):
        comment_attach(comment=comment, paper=paper, author=person, now=NOW)
