"""Numbers of revisions, documents and transmittals by the owner's scheme."""

import pytest

from specapp.revisions.models import Numbering, Purpose, RegisterEntry
from specapp.revisions.numbering import DOCUMENT_FIELDS, Scheme, number_by, pattern_problem
from specapp.revisions.services.freezing import revision_cancel
from tests.factories import NOW, machine_of
from tests.revisions.issuing import frozen, issued, sent, signed


@pytest.mark.parametrize(
    ("sequence", "label"),
    [(1, "A"), (8, "H"), (9, "J"), (14, "P"), (24, "Z"), (25, "AA"), (26, "AB"), (49, "BA")],
)
def test_letters_go_on_without_those_read_as_figures(sequence, label):
    assert Scheme().label("LETTERS", sequence) == label


@pytest.mark.parametrize(
    ("first", "digits", "labels"), [(0, 1, "0 1 2"), (1, 2, "01 02 03"), (100, 3, "100 101 102")]
)
def test_numbers_start_where_the_owner_starts(first, digits, labels):
    scheme = Scheme(first_number=first, number_digits=digits)
    assert [scheme.label("NUMBERS", n) for n in (1, 2, 3)] == labels.split()


def test_a_first_letter_that_is_left_out_gives_way_to_the_next():
    assert Scheme(first_letter="I").label("LETTERS", 1) == "J"


@pytest.mark.parametrize(
    ("pattern", "is_fine"),
    [
        ("{project}-{machine}-{sequence}", True),
        ("{machine}/{document}", True),
        ("{machine}", False),
        ("fixed", False),
        ("{sequence!r}", False),
        ("{sequence:>100000000}", False),
        ("{sequence.__class__}", False),
        ("{sequence", False),
        ("{}-{sequence}", False),
    ],
)
def test_a_pattern_is_text_and_known_parts(pattern, is_fine):
    assert (pattern_problem(pattern, DOCUMENT_FIELDS) == "") == is_fine


def test_a_number_has_no_blanks():
    assert number_by("{project}-{sequence}", {"project": "NM 7 / b", "sequence": "001"}) == "NM-7-b-001"


def test_letters_before_numbers_after_each_counted_by_itself(machine):
    assert [row.label for row in issued(machine).revisions.all()] == ["A"]
    assert [row.label for row in issued(machine, Purpose.APPROVAL).revisions.all()] == ["B"]
    assert [row.label for row in issued(machine, Purpose.CONSTRUCTION).revisions.all()] == ["0"]
    assert [row.label for row in issued(machine, Purpose.AS_BUILT).revisions.all()] == ["1"]


def test_a_cancelled_number_is_never_used_again(machine, engineer):
    revision = frozen(machine)
    revision_cancel(revision=revision, expected_version=1, reason="wrong gas", author=engineer, now=NOW)
    assert frozen(machine).label == "B"


def test_a_new_scheme_does_not_use_a_label_twice(machine, project):
    issued(machine, Purpose.CONSTRUCTION)
    issued(machine, Purpose.CONSTRUCTION)
    Numbering.objects.create(project=project, first_number=1, letters_left_out="")
    assert frozen(machine, Purpose.CONSTRUCTION).label == "3"


def test_documents_are_numbered_by_the_pattern_once(machine, project):
    other = machine_of(project, tag="K 4410/b")
    frozen(machine)
    frozen(other)
    numbers = list(RegisterEntry.objects.values_list("number", flat=True))
    assert len(set(numbers)) == len(numbers)
    assert f"NM-7-{machine.tag}-001" in numbers
    assert "NM-7-K-4410-b-001" in numbers


def test_transmittals_of_a_project_are_counted(machine, project):
    other = machine_of(project, tag="K-9")
    assert issued(machine).number == "NM-7-T-0001"
    assert issued(other).number == "NM-7-T-0002"


def test_a_package_has_one_transmittal(machine, project):
    pair = [frozen(machine), frozen(machine_of(project, tag="K-9"))]
    for revision in pair:
        signed(revision)
    issue = sent(pair)
    assert issue.revisions.count() == 2
    assert issue.documents.filter(revision=None).count() == 1
