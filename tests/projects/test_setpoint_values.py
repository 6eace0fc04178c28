"""Values given for setpoints: beside the rule's, from a form or a maker's list, and withdrawn."""

import io
import re

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.setpoint_list import read_setpoint_list
from specapp.projects.deciding.setpoint_values import Provenance, given_value, setpoint_values_write
from specapp.projects.errors import StaleVersion
from specapp.projects.models import Machine, SetpointValue
from specapp.projects.services import machine_update
from specapp.projects.views import setpoint_values as values_view
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member
from tests.projects.test_overrides import set_on

pytestmark = pytest.mark.django_db
GROUP = "P1/P1-1/radial"
TOLD = {
    "state": "MAKERS",
    "document": "VS-118",
    "revision": "2",
    "person": "T. Maker",
    "dated": "2026-02-01",
    "note": "",
}


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


@pytest.fixture
def machine(project):
    return machine_of(project, name="contract_example")


@pytest.fixture
def proposal(machine):
    return machine_proposal(machine)


def url(name, machine, *more):
    return reverse(f"projects:{name}", args=[machine.project_id, machine.pk, *more])


def write(machine, proposal, high="45", low="", item=GROUP, level="trip", **provenance):
    told = {**TOLD, "dated": NOW.date(), **provenance}
    return setpoint_values_write(
        machine=machine,
        expected_version=machine.version,
        values=[given_value(proposal, item, level, high, low)],
        provenance=Provenance(**told),
        author=UserFactory(),
        now=NOW,
    )


def csv(*rows):
    return "\n".join(",".join(row) for row in rows).encode()


def test_a_makers_value_moves_nothing_and_both_stand_on_the_pages(engineer, machine, proposal, client):
    rule = next(p for p in proposal.points if p.voting_group == GROUP).setpoints.trip.value
    write(machine, proposal)
    assert machine_proposal(machine) == proposal
    pages = [url("machine-show", machine), url("setpoint-value-list", machine)]
    for page in (*pages, url("point-show", machine, f"{GROUP}/Y")):
        body = client.get(page).content.decode()
        assert f"{rule:g} µm p-p" in body
        assert "45 µm p-p" in body
        assert "VS-118" in body
    assert AuditEntry.objects.filter(action="setpoint_values.write").count() == 1


def test_the_last_value_of_a_state_counts_and_the_former_stays(engineer, machine, proposal, client):
    write(machine, proposal, "45")
    write(machine, proposal, "46", revision="3")
    write(machine, proposal, "44", state="AS_LEFT")
    page = client.get(url("setpoint-value-list", machine), {"show": "given"})
    (line,) = page.context["lines"]
    assert [cell.value and cell.value.value for cell in line.states] == [None, 46.0, None, 44.0]
    assert SetpointValue.objects.count() == 3


@pytest.mark.parametrize(
    ("item", "level", "high", "low", "expected"),
    [
        (GROUP, "trip", "45", "", (45.0, None, "um")),
        (GROUP, "alarm", "1 mil p-p", "", (25.4, None, "um")),
        ("BG/axial", "trip", "0.45", "", (0.45, -0.45, "mm")),
        ("BG/axial", "trip", "0.45", "-0.4 mm", (0.45, -0.4, "mm")),
        ("BG/B1/temperature", "trip", "248 degF", "", (120.0, None, "degC")),
    ],
)
def test_values_are_read_in_the_machines_units(item, level, high, low, expected, proposal):
    given = given_value(proposal, item, level, high, low)
    assert (given.value, given.low, given.unit) == (pytest.approx(expected[0]), expected[1], expected[2])


@pytest.mark.parametrize(
    ("item", "level", "high", "low", "path"),
    [
        ("P9/x", "trip", "45", "", "item"),
        (f"{GROUP}/Y", "trip", "45", "", "item"),
        ("BG/phase", "trip", "45", "", "item"),
        (GROUP, "high", "45", "", "level"),
        (GROUP, "trip", "", "", "value"),
        (GROUP, "trip", "0", "", "value"),
        (GROUP, "trip", "45 bar", "", "value"),
        (GROUP, "trip", "45", "-45", "low"),
        ("BG/axial", "trip", "0.4", "0.4", "low"),
    ],
)
def test_what_is_no_value_is_refused_with_its_place(item, level, high, low, path, proposal):
    with pytest.raises(InputErrors) as caught:
        given_value(proposal, item, level, high, low)
    assert caught.value.problems[0].path == path


def test_a_value_without_document_person_or_date_is_refused_all_at_once(machine, proposal):
    with pytest.raises(InputErrors) as caught:
        write(machine, proposal, document=" ", person="", dated=None, state="RUMOUR")
    assert {each.path for each in caught.value.problems} == {"state", "document", "person", "dated"}
    assert not SetpointValue.objects.exists()


def test_a_list_for_another_version_of_the_machine_is_not_written(machine, proposal):
    set_on(machine)
    with pytest.raises(StaleVersion):
        setpoint_values_write(
            machine=machine,
            expected_version=1,
            values=[given_value(proposal, GROUP, "trip", "45")],
            provenance=Provenance(**{**TOLD, "dated": NOW.date()}),
            author=UserFactory(),
            now=NOW,
        )


def test_a_list_is_read_by_tag_with_units_in_heads_and_cells(proposal):
    point = next(p for p in proposal.points if p.voting_group == GROUP)
    axial = next(p for p in proposal.points if p.voting_group == "BG/axial")
    listed = read_setpoint_list(
        csv(
            ("Tag", "Trip (mil)", "Alarm", "Trip low", "Vendor remark"),
            (point.tag.lower(), "1.6", "30 um", "", "x"),
            (axial.tag, "0.4 mm", "", "-0.35 mm", ""),
            ("", "", "", "", ""),
        ),
        proposal,
    )
    found = {(each.given.item, each.given.level): each for each in listed.values}
    assert found[GROUP, "trip"].given.value == pytest.approx(40.64)
    assert found[GROUP, "trip"].cell == "B2"
    assert found[GROUP, "alarm"].given.value == 30.0
    assert found["BG/axial", "trip"].given.low == -0.35
    assert listed.passed_over == ("Vendor remark",)
    assert listed.problems == ()


def test_every_refused_cell_is_named(proposal):
    pair = [p for p in proposal.points if p.voting_group == GROUP]
    listed = read_setpoint_list(
        csv(
            ("alarm", "tag", "trip", "unit"),
            ("30", pair[0].tag, "41", "um"),
            ("30", pair[1].tag, "42", "um"),
            ("thirty", "BG/B1/radial", "50", "bar"),
            ("30", "XX-1", "", ""),
            ("30", "", "", ""),
        ),
        proposal,
    )
    assert [problem.path for problem in listed.problems] == ["C3", "A4", "C4", "B5", "B6"]
    assert {(each.given.item, each.given.level) for each in listed.values} == {
        (GROUP, "alarm"),
        (GROUP, "trip"),
    }


def test_a_workbook_reads_alike_and_its_formulas_are_refused(proposal):
    tag = next(p.tag for p in proposal.points if p.voting_group == GROUP)
    book = openpyxl.Workbook()
    book.active.append(["tag", "alarm", "trip"])
    book.active.append([tag, 30, "=30+11"])
    out = io.BytesIO()
    book.save(out)
    listed = read_setpoint_list(out.getvalue(), proposal)
    assert [(each.given.level, each.given.value) for each in listed.values] == [("alarm", 30.0)]
    assert [problem.path for problem in listed.problems] == ["C2"]


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xfe\x00", b"PK\x03\x04 no", b"a,b\n1,2", b"tag,tag,trip\n1,2,3"]
)
def test_a_file_that_is_no_list_is_refused(data, proposal):
    with pytest.raises(InputErrors):
        read_setpoint_list(data, proposal)


def test_a_list_is_shown_before_it_is_adopted(engineer, machine, proposal, client):
    tag = next(p.tag for p in proposal.points if p.voting_group == GROUP)
    write(machine, proposal, "44")
    address = url("setpoint-list-import", machine)
    file = SimpleUploadedFile("list.csv", csv(("tag", "trip"), (tag, "45"), ("XX-1", "3")))
    shown = client.post(address, {**TOLD, "version": "1", "file": file})
    assert shown.status_code == 200
    (line,) = shown.context["lines"]
    assert (line.was, line.now) == ("44 µm p-p", "45 µm p-p")
    assert [place for place, _ in shown.context["problems"]] == ["A3"]
    assert SetpointValue.objects.count() == 1
    read = re.search(rb'name="read" value="([^"]+)"', shown.content)[1].decode()
    assert client.post(address, {**TOLD, "version": "1", "read": f"{read}x"}).status_code == 422
    again = client.post(address, {**TOLD, "person": "", "version": "1", "read": read})
    assert again.status_code == 422
    assert again.context["lines"] == [line], "what was read is not lost"
    assert b"Found nothing; allowed: 1 to" in again.content
    assert client.post(address, {**TOLD, "version": "1", "read": read}).status_code == 302
    assert list(SetpointValue.objects.values_list("value", flat=True)) == [44.0, 45.0]


def test_the_blank_list_comes_back_filled(engineer, machine, proposal, client):
    blank = client.get(url("setpoint-list-blank", machine)).content.decode("utf-8-sig")
    heads, *rows = blank.splitlines()
    assert heads == "tag,description,unit,alarm,alarm low,trip,trip low"
    axial = next(
        row for row in rows if row.startswith(next(p.tag for p in proposal.points if "axial" in p.key))
    )
    assert axial.endswith(",mm,,,,")
    filled = axial.removesuffix(",,,,") + ",0.3,,0.4,-0.35"
    listed = read_setpoint_list(f"{heads}\n{filled}".encode(), proposal)
    assert [(each.given.level, each.given.value, each.given.low) for each in listed.values] == [
        ("alarm", 0.3, -0.3),
        ("trip", 0.4, -0.35),
    ]


def test_a_value_is_written_and_withdrawn_from_the_pages(engineer, machine, client):
    address = f"{url('setpoint-value-write', machine)}?item={GROUP}&level=trip"
    assert client.get(address).status_code == 200
    assert client.post(address, {**TOLD, "version": "1", "value": "much"}).status_code == 422
    assert client.post(address, {**TOLD, "version": "9", "value": "45"}).status_code == 409
    assert client.post(address, {**TOLD, "version": "1", "value": "45"}).status_code == 302
    row = SetpointValue.objects.get()
    page = client.get(url("setpoint-value-list", machine)).content.decode()
    assert "field=trip&amp;value=45.0&amp;reason=maker" in page
    assert client.post(url("setpoint-value-withdraw", machine, row.pk)).status_code == 302
    row.refresh_from_db()
    assert row.withdrawn_by == engineer
    assert client.get(url("setpoint-value-list", machine), {"show": "given"}).context["lines"] == []


def test_of_two_who_write_one_setpoint_the_second_sees_both_and_may_save_again(
    engineer, machine, proposal, client
):
    address = f"{url('setpoint-value-write', machine)}?item=BG/axial&level=trip"
    typed = {**TOLD, "version": "1", "value": "0.45 mm", "low": "-0.4", "seen": ""}
    (first,) = write(machine, proposal, "0.5", item="BG/axial", person="<b>F. First</b>")
    late = client.post(address, typed)
    assert late.status_code == 409
    page = late.content.decode()
    assert "the values given for this setpoint changed meanwhile" in page
    assert "±0.5 mm <small>VS-118 rev 2, &lt;b&gt;F. First&lt;/b&gt;, 2026-03-02; written down by" in page
    assert 'value="0.45 mm"' in page
    assert f'name="seen" value="{first.pk}"' in page
    assert f'name="seen" value="{first.pk}"' in client.get(address).content.decode()
    again = {**typed, "seen": str(first.pk)}
    assert client.post(address, {**again, "seen": "x"}).status_code == 422
    assert client.post(address, again).status_code == 302
    assert client.post(address, again).status_code == 409, "sent twice, it is written once"
    assert SetpointValue.objects.count() == 2


def test_a_withdrawn_value_and_one_of_another_level_are_not_what_stands(engineer, machine, proposal, client):
    address = f"{url('setpoint-value-write', machine)}?item={GROUP}&level=trip"
    (row,) = write(machine, proposal)
    write(machine, proposal, "30", level="alarm")
    typed = {**TOLD, "version": "1", "value": "45"}
    assert client.post(address, {**typed, "seen": str(row.pk)}).status_code == 302
    for each in SetpointValue.objects.filter(level="trip"):
        client.post(url("setpoint-value-withdraw", machine, each.pk))
    assert client.post(address, {**typed, "seen": str(row.pk)}).status_code == 409
    assert client.post(address, typed).status_code == 302


def test_where_the_machine_moved_the_page_shows_it_as_it_stands_now(engineer, machine, client, monkeypatch):
    """Read before another saves, written after: what is shown is what was found under the lock."""
    address = f"{url('setpoint-value-write', machine)}?item={GROUP}&level=trip"

    def moved_first(**how):
        monkeypatch.undo()
        set_on(Machine.objects.get(pk=machine.pk), author=engineer)
        return values_view.value_write(**how)

    monkeypatch.setattr(values_view, "value_write", moved_first)
    late = client.post(address, {**TOLD, "version": "1", "value": "45"})
    assert late.status_code == 409
    page = late.content.decode()
    assert f"{engineer} changed this machine meanwhile" in page
    assert "<dt>Proposed</dt><dd>41 µm p-p</dd>" in page
    assert 'name="version" value="2"' in page
    assert client.post(address, {**TOLD, "version": "2", "value": "45"}).status_code == 302


def test_where_the_setpoint_went_meanwhile_what_was_typed_is_not_lost(engineer, project, client, monkeypatch):
    machine = machine_of(project, name="minimal_process")
    address = f"{url('setpoint-value-write', machine)}?item=P2/P2-1/radial&level=trip"
    fewer = {**machine.description, "pinions": machine.description["pinions"][:1], "stage_count": 2}

    def moved_first(**how):
        monkeypatch.undo()
        machine_update(machine=machine, description=fewer, expected_version=1, author=engineer, now=NOW)
        return values_view.value_write(**how)

    monkeypatch.setattr(values_view, "value_write", moved_first)
    late = client.post(address, {**TOLD, "version": "1", "value": "45"})
    assert late.status_code == 409
    page = late.content.decode()
    assert "P2/P2-1/radial is no longer a setpoint of this machine" in page
    assert 'name="value" value="45"' in page
    assert "Write it down" not in page


def test_values_follow_a_pinion_and_are_never_dropped(engineer, project, client):
    machine = machine_of(project, name="minimal_process")
    proposal = machine_proposal(machine)
    write(machine, proposal, item="P2/P2-1/radial")
    fewer = {**machine.description, "pinions": machine.description["pinions"][:1], "stage_count": 2}
    machine_update(
        machine=machine,
        description=fewer,
        expected_version=1,
        author=engineer,
        now=NOW,
        pinions_were=[0],
    )
    page = client.get(url("setpoint-value-list", machine))
    assert [value.item for value in page.context["left_over"]] == ["P2/P2-1/radial"]


def test_the_list_costs_the_same_queries_however_many_values(
    engineer, machine, proposal, client, django_assert_num_queries
):
    for level in ("alarm", "trip"):
        write(machine, proposal, "45", level=level)
        with django_assert_num_queries(8):
            client.get(url("setpoint-value-list", machine))
