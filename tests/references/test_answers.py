"""A sheet of questions comes back: read cell by cell, shown with what it changes, chosen ones adopted."""

from datetime import date
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook, load_workbook

from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.projects.deciding.ground import machine_ground, machine_proposal
from specapp.projects.models import Machine, SetpointValue
from specapp.projects.services import machine_update
from specapp.references.answers import SheetSource, answers_of
from specapp.references.models import Attachment, ReferenceDocument
from specapp.references.returned_sheet import read_returned
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.references.filled import HEAD, filled, received

pytestmark = pytest.mark.django_db
JOURNAL = "fact:pinions[P2].journal_diameter"
CLEARANCE = "fact:pinions[P2].diametral_clearance"
TRIP = "setpoint:P1/axial/A:trip"
ROTATION = "fact:bull_gear.rotation"
ANSWERS = {
    JOURNAL: {"answer": 2.4, "unit": "in", "document": "RD-9", "revision": "C", "page": "12"},
    ROTATION: "clockwise",
    TRIP: 0.5,
    "words:loop/devices": "see our data sheet",
}


@pytest.fixture
def project():
    project = ProjectFactory()
    member(project, Role.OWNER)
    return project


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


def stored(machine):
    return Machine.objects.get(pk=machine.pk)


def looked_at(machine, answers, chosen=None):
    sheet = read_returned(filled(machine, answers))
    source = SheetSource("MK-Q-7", "A", "N. Oyelaran", date(2026, 2, 20))
    proposal, ground = machine_proposal(machine), machine_ground(machine)
    return answers_of(sheet, source, machine, proposal, ground, chosen)


def test_what_was_filled_in_is_read_with_its_cells(project):
    machine = machine_of(project)
    sheet = read_returned(filled(machine, ANSWERS))
    assert (sheet.machine, sheet.document, sheet.revision) == (machine.tag, "MK-Q-7", "A")
    assert (sheet.person, sheet.dated) == ("N. Oyelaran", date(2026, 2, 20))
    assert sheet.problems == ()
    found = {answer.key: answer for answer in sheet.answers}
    assert set(found) == set(ANSWERS)
    assert found[JOURNAL].answer == "2.4 in"
    book = load_workbook(BytesIO(filled(machine, ANSWERS))).active
    assert book[found[JOURNAL].cell].value == 2.4


def test_a_sheet_sent_back_empty_holds_no_answer(project):
    assert read_returned(filled(machine_of(project), {})).answers == ()


@pytest.mark.parametrize(
    ("answer", "found"),
    [("=1+1", "a formula"), ("x" * 401, "401 characters"), ("a\u202eb", "b"), (date(2026, 1, 1), "a date")],
)
def test_a_cell_that_cannot_be_read_is_named_and_leaves_the_others(answer, found, project):
    sheet = read_returned(filled(machine_of(project), {JOURNAL: answer, ROTATION: "clockwise"}))
    (problem,) = sheet.problems
    assert found in problem.found
    assert problem.path.startswith("H")
    assert [each.key for each in sheet.answers] == [ROTATION]


def workbook(rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def padded():
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 60_000_000)
    return out.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no workbook",
        b"PK\x03\x04 cut",
        padded(),
        workbook([["tag", "alarm"]]),
        workbook([["questions/1"]]),
        workbook([["questions/1"], ["id"], *([f"fact:x{n}"] for n in range(1001))]),
    ],
    ids=["empty", "text", "cut", "padded", "another", "no questions", "too long"],
)
def test_another_file_is_refused(data):
    with pytest.raises(InputErrors):
        read_returned(data)


def test_a_second_answer_to_a_question_is_refused_and_the_first_stands(project):
    data = filled(machine_of(project), {ROTATION: "clockwise"})
    book = load_workbook(BytesIO(data))
    row = next(row for row in book.active.iter_rows(values_only=True) if row[0] == ROTATION)
    book.active.append(row)
    out = BytesIO()
    book.save(out)
    sheet = read_returned(out.getvalue())
    assert [answer.key for answer in sheet.answers] == [ROTATION]
    assert "a second answer" in sheet.problems[0].found


def test_each_answer_says_what_it_would_set_and_where_it_comes_from(project):
    found = looked_at(machine_of(project), ANSWERS)
    lines = {line.key: line for line in found.lines}
    assert lines[JOURNAL].origin.told() == {
        "document": "RD-9",
        "revision": "C",
        "page": "12",
        "state": "quoted",
    }
    assert lines[ROTATION].origin.document == "MK-Q-7"
    assert lines[ROTATION].origin.page.startswith("question ")
    assert (lines[TRIP].given.value, lines[TRIP].given.low, lines[TRIP].now) == (0.5, -0.5, "0.5 mm")
    assert not lines["words:loop/devices"].can_be_taken
    assert found.chosen == {JOURNAL, ROTATION, TRIP}
    pinion = found.after.machine["pinions"][1]
    assert pinion["journal_diameter"] == pytest.approx(60.96)


def test_answers_the_description_refuses_say_so_and_the_others_stand(project):
    wrong = {JOURNAL: 60, CLEARANCE: 5, ROTATION: "clockwise", "fact:pinions[P1].journal_diameter": "many"}
    found = looked_at(machine_of(project), wrong)
    lines = {line.key: line for line in found.lines}
    assert "allowed" in lines["fact:pinions[P1].journal_diameter"].problem
    assert lines[CLEARANCE].problem
    assert ROTATION in found.chosen
    assert CLEARANCE not in found.chosen
    assert found.after is not None


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        ("setpoint:P1/axial/A:trip", "many"),
        ("setpoint:P1/axial/A:trip", -3),
    ],
)
def test_a_setpoint_that_is_none_is_refused_at_its_cell(key, answer, project):
    (line,) = looked_at(machine_of(project), {key: answer}).lines
    assert line.problem
    assert not line.can_be_taken


def renamed(data, was, now):
    book = load_workbook(BytesIO(data))
    for (cell,) in book.active.iter_rows(max_col=1):
        if cell.value == was:
            cell.value = now
    out = BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    "key", ["fact:pinions[P9].teeth", "fact:sources", "setpoint:P9/axial:trip", "setpoint:x", "setpoint:a:b"]
)
def test_a_question_that_does_not_belong_here_is_refused(key, project):
    machine = machine_of(project)
    sheet = read_returned(renamed(filled(machine, {ROTATION: "clockwise"}), ROTATION, key))
    source = SheetSource("D", "", "p", date(2026, 2, 20))
    found = answers_of(sheet, source, machine, machine_proposal(machine), machine_ground(machine))
    assert found.lines[0].problem
    assert found.chosen == frozenset()


def swapped(machine, names):
    """Return a machine whose two pinions have changed places, with these names in the new order."""
    pinions = [*reversed(stored(machine).description["pinions"])]
    pinions = [
        {**pinion, "name": name} if name else pinion for pinion, name in zip(pinions, names, strict=True)
    ]
    machine_update(
        machine=machine,
        description={**machine.description, "pinions": pinions},
        expected_version=machine.version,
        author=machine.created_by,
        now=NOW,
        pinions_were=[1, 0],
    )
    return stored(machine)


def after_swap(project, names):
    machine = machine_of(project)
    data = filled(machine, {JOURNAL: 60, ROTATION: "clockwise"})
    machine = swapped(machine, names)
    source = SheetSource("D", "", "p", date(2026, 2, 20))
    proposal, ground = machine_proposal(machine), machine_ground(machine)
    found = answers_of(read_returned(data), source, machine, proposal, ground)
    return {line.key: line for line in found.lines}


def test_an_answer_follows_its_pinion_when_pinions_were_swapped_meanwhile(project):
    lines = after_swap(project, ("P2", "P1"))
    assert lines[JOURNAL].name == "pinions[0].journal_diameter"
    assert lines[JOURNAL].can_be_taken


def test_an_answer_about_another_pinion_of_that_name_is_refused(project):
    lines = after_swap(project, ("", ""))
    assert "r/min when this was asked" in lines[JOURNAL].problem
    assert lines[ROTATION].can_be_taken


def upload(client, machine, data, **told):
    address = reverse("references:question-list", args=[machine.project_id, machine.pk])
    file = SimpleUploadedFile("answers.bin", data)
    return client.post(address, {"file": file, **told})


def test_a_sheet_is_received_looked_at_and_chosen_answers_are_adopted(project, engineer, client):
    machine = machine_of(project)
    response = upload(client, machine, filled(machine, ANSWERS))
    assert response.status_code == 302
    page = client.get(response.url)
    assert page.context["changes"].summary
    assert stored(machine).version == machine.version, "looking changes nothing"
    told = {"version": machine.version, "do": "adopt", "take": [JOURNAL, TRIP]}
    assert client.post(response.url, told).status_code == 302
    found = stored(machine)
    assert found.description["pinions"][1]["journal_diameter"] == "2.4 in"
    assert found.description["sources"]["pinions[1].journal_diameter"]["document"] == "RD-9"
    assert "rotation" not in found.description["bull_gear"]
    row = SetpointValue.objects.get()
    assert (row.state, row.document, row.revision, row.person) == ("MAKERS", "MK-Q-7", "A", "N. Oyelaran")
    assert (row.item, row.level, row.value, row.low) == ("P1/axial/A", "trip", 0.5, -0.5)
    asked = client.get(reverse("references:question-list", args=[project.pk, machine.pk]))
    keys = {question.key for group in asked.context["groups"] for question in group.asked}
    assert JOURNAL not in keys


def test_only_the_changes_of_the_ticked_are_shown(project, engineer, client):
    machine = machine_of(project)
    address = upload(client, machine, filled(machine, ANSWERS)).url
    shown = client.post(address, {"do": "show", "take": [ROTATION]})
    assert shown.context["answers"].chosen == {ROTATION}
    assert shown.context["answers"].after.machine["pinions"][1].get("journal_diameter") is None
    assert client.post(address, {"do": "adopt", "version": machine.version}).status_code == 422


def test_a_machine_saved_meanwhile_is_not_overwritten(project, engineer, client):
    machine = machine_of(project)
    address = upload(client, machine, filled(machine, ANSWERS)).url
    told = {"version": machine.version + 1, "do": "adopt", "take": [JOURNAL, TRIP]}
    assert client.post(address, told).status_code == 409
    assert stored(machine).description == machine.description
    assert not SetpointValue.objects.exists()


def test_the_same_sheet_twice_is_one_entry_of_the_register(project, engineer, client):
    machine = machine_of(project)
    data = filled(machine, ANSWERS)
    assert upload(client, machine, data).url == upload(client, machine, data).url
    assert Attachment.objects.count() == 1


@pytest.mark.parametrize(
    ("head", "told", "field"),
    [
        ({**HEAD, "sheet:person": None}, {}, "person"),
        ({**HEAD, "sheet:dated": "last week"}, {}, "dated"),
        (HEAD, {"dated": "2999-01-01"}, "dated"),
        ({}, {"person": "N. Oyelaran"}, "document"),
    ],
)
def test_a_sheet_without_its_head_is_asked_for_it(head, told, field, project, engineer, client):
    machine = machine_of(project)
    response = upload(client, machine, filled(machine, ANSWERS, head), **told)
    assert response.status_code == 422
    assert field in response.context["form"].errors
    assert not ReferenceDocument.objects.exists()


def test_a_sheet_of_another_machine_or_no_sheet_is_refused(project, engineer, client):
    machine, other = machine_of(project), machine_of(project, tag="K-2")
    for data in (filled(other, ANSWERS), b"%PDF-1.7", b"tag,alarm\n"):
        response = upload(client, machine, data)
        assert response.status_code == 422
        assert "file" in response.context["form"].errors
    assert not ReferenceDocument.objects.exists()


def test_answers_of_another_machine_are_not_found(project, engineer, client):
    machine, other = machine_of(project), machine_of(project, tag="K-2")
    row = received(machine, ANSWERS)
    address = reverse("references:answer-list", args=[project.pk, other.pk, row.pk])
    assert client.get(address).status_code == 404


@pytest.mark.parametrize(("ask", "kind", "status"), [
    ("maker", "pdf", 200), ("everybody", "xlsx", 200), ("nobody", "pdf", 404), ("maker", "exe", 404),
])  # fmt: skip
def test_sheets_go_out_by_whom_they_are_for(ask, kind, status, project, engineer, client):
    machine = machine_of(project)
    address = reverse("references:question-file", args=[project.pk, machine.pk, ask, kind])
    assert client.get(address).status_code == status
