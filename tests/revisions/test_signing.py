"""Candidates and signatures: over a checksum, by somebody else than who changed it, void when it moves."""

from datetime import timedelta

import pytest

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.criteria.loader import Override as CriterionValue
from specapp.projects.deciding.criteria import confirmation_withdraw, criterion_confirm, criterion_set
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set
from specapp.projects.deciding.setpoint_values import GivenValue, Provenance, setpoint_values_write
from specapp.revisions.content import content_of
from specapp.revisions.errors import Refused, Stale
from specapp.revisions.models import Part, PointOpened, Purpose
from specapp.revisions.services.freezing import has_moved, revision_refreeze
from specapp.revisions.services.signing import accepted_lists
from tests.factories import NOW, UserFactory, machine_of, member
from tests.revisions.issuing import described_anew, frozen, issued, sent, signed

GROUP = "BG/B1/radial"


def overridden(machine, author):
    machine.refresh_from_db()
    return override_set(
        machine=machine,
        expected_version=machine.version,
        item=GROUP,
        field="trip",
        value=40.0,
        reason="owner's practice",
        author=author,
        now=NOW,
    )


def test_the_content_holds_everything_it_rests_on(machine, engineer):
    overridden(machine, engineer)
    content = content_of(frozen(machine).checksum)
    assert content.description == machine.description
    assert [(row["item"], row["value"]) for row in content.overrides] == [(GROUP, 40.0)]
    assert content.rulebook_version == content.proposal.rulebook_version
    assert content.criteria_digest == content.proposal.criteria_digest


def test_a_machine_has_one_candidate(machine):
    frozen(machine)
    with pytest.raises(Refused, match="candidate already"):
        frozen(machine)


@pytest.mark.parametrize("change", ["description", "override", "criterion", "setpoint"])
def test_whatever_changes_moves_the_candidate(change, machine, engineer, project):
    revision = frozen(machine)
    assert not has_moved(revision)
    if change == "description":
        described_anew(machine, engineer, service="Nitrogen")
    elif change == "override":
        overridden(machine, engineer)
    elif change == "criterion":
        value = CriterionValue(1.7, "owner")
        criterion_set(
            project=project,
            key="radial.trip_multiple",
            value=value,
            expected_row=None,
            author=engineer,
            now=NOW,
        )
    else:
        setpoint_values_write(
            machine=machine,
            expected_version=machine.version,
            values=[GivenValue(GROUP, "trip", 40.0, None, "um")],
            provenance=Provenance("MAKERS", "VS-1", "1", "maker", NOW.date()),
            author=engineer,
            now=NOW,
        )
    revision.machine.refresh_from_db()
    assert has_moved(revision)
    with pytest.raises(Stale, match="freeze it again"):
        signed(revision)


def confirmed(machine, person, edition="a licensed copy"):
    """Return a confirmation of a value from memory that the machine reads."""
    key = min(row["key"] for row in machine_proposal(machine).criteria if row["status"] == "from memory")
    day = NOW.date()
    return criterion_confirm(
        project=machine.project, key=key, edition=edition, on=day, author=person, now=NOW
    )


def test_a_confirmation_after_the_freezing_leaves_signatures_and_shortens_what_is_accepted(machine, project):
    revision = frozen(machine)
    signature = signed(revision)
    before = accepted_lists(revision).counts["from memory"]
    confirmed(machine, member(project, Role.REVIEWER))
    assert not has_moved(revision)
    signature.refresh_from_db()
    assert (signature.voided_at, signature.checksum) == (None, revision.checksum)
    assert accepted_lists(revision).counts["from memory"] == before - 1


def test_a_confirmation_that_the_content_names_and_that_is_taken_back_moves_the_candidate(
    machine, project, engineer
):
    reviewer = member(project, Role.REVIEWER)
    row = confirmed(machine, reviewer)
    revision = frozen(machine)
    assert not has_moved(revision)
    confirmation_withdraw(confirmation=row, author=reviewer, now=NOW)
    assert has_moved(revision)
    with pytest.raises(Stale, match="freeze it again"):
        signed(revision)
    again = confirmed(machine, reviewer)
    assert (again.key, has_moved(revision)) == (row.key, False)
    criterion_confirm(
        project=project, key=row.key, edition="another copy", on=NOW.date(), author=reviewer, now=NOW
    )
    assert has_moved(revision)
    revision_refreeze(revision=revision, expected_version=revision.version, author=engineer, now=NOW)
    revision.refresh_from_db()
    assert not has_moved(revision)


def test_freezing_again_voids_signatures_and_an_old_tab_fails(machine, engineer):
    revision = frozen(machine)
    signature = signed(revision)
    old = revision.checksum
    described_anew(machine, engineer, service="Nitrogen")
    revision_refreeze(revision=revision, expected_version=revision.version, author=engineer, now=NOW)
    signature.refresh_from_db()
    revision.refresh_from_db()
    assert signature.voided_at == NOW
    assert revision.label == "A"
    with pytest.raises(Stale, match="out of date"):
        signed(revision, checksum=old)
    with pytest.raises(Refused, match="not signed"):
        sent([revision])


def test_freezing_again_needs_a_change(machine, engineer):
    revision = frozen(machine)
    with pytest.raises(Refused, match="Nothing has changed"):
        revision_refreeze(revision=revision, expected_version=1, author=engineer, now=NOW)
    with pytest.raises(Stale):
        revision_refreeze(revision=revision, expected_version=7, author=engineer, now=NOW)


def test_signatures_come_in_turn_and_one_a_person(machine, project):
    revision = frozen(machine, Purpose.APPROVAL)
    person = member(project, Role.OWNER)
    with pytest.raises(Refused, match="Not in turn"):
        signed(revision, Part.CHECKED, person)
    with pytest.raises(Refused, match="asks for no signature"):
        signed(revision, Part.APPROVED, person)
    signed(revision, Part.PREPARED, person)
    with pytest.raises(Refused, match="another person"):
        signed(revision, Part.CHECKED, person)
    signed(revision, Part.CHECKED)


def test_who_changed_something_since_the_last_issue_does_not_check(machine, engineer, project):
    revision = frozen(machine, Purpose.APPROVAL)
    signed(revision)
    with pytest.raises(Refused, match="described the machine"):
        signed(revision, Part.CHECKED, engineer)
    signed(revision, Part.CHECKED)
    sent([revision])
    # Nothing of the engineer's has changed since: now the engineer may check.
    described_anew(machine, member(project, Role.OWNER), service="Nitrogen")
    again = frozen(machine, Purpose.APPROVAL)
    signed(again)
    signed(again, Part.CHECKED, engineer)


def test_an_override_bars_its_author(machine, project):
    issued(machine)
    adopter = member(project, Role.ENGINEER)
    overridden(machine, adopter)
    revision = frozen(machine, Purpose.APPROVAL)
    signed(revision)
    with pytest.raises(Refused, match="set trip of BG/B1/radial"):
        signed(revision, Part.CHECKED, adopter)


def test_a_change_of_another_machine_bars_nobody(machine, project):
    other = member(project, Role.ENGINEER)
    overridden(machine_of(project, tag="K-9"), other)
    revision = frozen(machine, Purpose.APPROVAL)
    signed(revision)
    signed(revision, Part.CHECKED, other)


def test_a_wrong_password_is_recorded_and_soon_closes_signing(machine):
    revision, person = frozen(machine), UserFactory()
    for _ in range(5):
        with pytest.raises(Refused, match="not your password"):
            signed(revision, person=person, password="guess")
    assert AuditEntry.objects.filter(action="revision.sign_refused").count() == 5
    with pytest.raises(Refused, match="closed to you"):
        signed(revision, person=person)
    assert not revision.signatures.exists()
    signed(revision, person=person, now=NOW + timedelta(minutes=15))
    assert revision.signatures.get().person == person


def test_the_right_password_begins_the_count_anew(machine):
    revision, person = frozen(machine), UserFactory()
    for _ in range(4):
        with pytest.raises(Refused, match="not your password"):
            signed(revision, person=person, password="guess")
    signed(revision, person=person)
    with pytest.raises(Refused, match="not your password"):
        signed(revision, person=person, password="guess")
    with pytest.raises(Refused, match="has signed as prepared already"):
        signed(revision, person=person)


def test_lists_are_accepted_as_they_are(machine):
    revision = frozen(machine)
    listed = accepted_lists(revision)
    assert listed.memory
    assert len(listed.unopened) == len(content_of(revision.checksum).proposal.points)
    with pytest.raises(Refused, match="accept"):
        signed(revision, accepted=None)
    with pytest.raises(Stale, match="lists"):
        signed(revision, accepted={**listed.counts, "not opened": 0})
    assert signed(revision).accepted == listed.counts


def test_a_point_counts_as_opened_since_the_last_issue(machine, engineer):
    key = "BG/B1/radial/Y"
    PointOpened.objects.create(machine=machine, key=key, person=engineer, machine_version=1, opened_at=NOW)
    assert key not in dict(accepted_lists(frozen(machine)).unopened)
