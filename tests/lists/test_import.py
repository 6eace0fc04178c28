"""A list of machines comes in: previewed with every problem at its cell, saved only when confirmed."""

import json
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import load_workbook

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.lists.exporting import table_csv, table_workbook
from specapp.lists.models import ColumnMeaning, StagedSheet
from specapp.projects.models import Machine
from tests.factories import ProjectFactory, machine_of, member, sample_description
from tests.lists.bringing import HEADS, PINIONS, SOUND, pasted, workbook

pytestmark = pytest.mark.django_db


@pytest.fixture
def project(client):
    project = ProjectFactory()
    client.force_login(member(project, Role.ENGINEER))
    return project


def bring(client, project, data=None, name="list.xlsx", **typed):
    if data is not None:
        typed["file"] = SimpleUploadedFile(name, data)
    return client.post(reverse("lists:sheet-bring", args=[project.pk]), typed, follow=True)


def preview(client, project, **posted):
    return client.post(reverse("lists:sheet-preview", args=[project.pk]), posted, follow=True)


def test_a_workbook_is_previewed_and_nothing_is_saved(client, project):
    found = bring(client, project, workbook(SOUND)).context["found"]
    assert [machine.tag for machine in found.machines] == ["K-11"]
    assert found.lines == ()
    assert not Machine.objects.exists()


def test_ticked_machines_are_taken_over_with_their_record(client, project):
    bring(client, project, workbook(SOUND, ("K-12", *SOUND[1:]), ("K-13", *SOUND[1:])))
    preview(client, project, do="take", row=["2", "4"])
    assert list(Machine.objects.values_list("tag", flat=True)) == ["K-11", "K-13"]
    assert AuditEntry.objects.filter(action="machine.create").count() == 2
    assert not StagedSheet.objects.exists()
    machine = Machine.objects.first()
    page = client.get(reverse("projects:machine-show", args=[project.pk, machine.pk]))
    assert page.status_code == 200


def test_every_problem_comes_at_once_with_its_cell(client, project):
    machine_of(project, tag="K-13")
    rows = [
        ("K-11", "proces", 3, "unclassified", 1490, 31400, 40200),
        ("K-12", "packaged_air", 99, "unclassified", "fast", 31400, 40200),
        ("k-13", *SOUND[1:]),
        ("K-14", *SOUND[1:]),
        ("K-14", *SOUND[1:]),
    ]
    found = bring(client, project, workbook(*rows)).context["found"]
    places = [line.place for line in found.lines]
    assert {"row 2, column B", "row 3, column C", "row 3, column E", "row 4, column A"} <= set(places)
    assert places.count("row 5, column A") == places.count("row 6, column A") == 1
    assert found.sound == ()


def test_a_machine_with_problems_is_never_taken_over(client, project):
    bring(client, project, workbook(SOUND, ("K-12", "proces", *SOUND[2:])))
    response = preview(client, project, do="take", row=["2", "3"])
    assert response.status_code == 422
    assert not Machine.objects.exists()
    assert StagedSheet.objects.exists()


def test_nothing_ticked_takes_nothing_over(client, project):
    bring(client, project, workbook(SOUND))
    assert preview(client, project, do="take").status_code == 422
    assert not Machine.objects.exists()


def test_a_tag_that_came_in_meanwhile_stops_the_whole_import(client, project):
    bring(client, project, workbook(SOUND, ("K-12", *SOUND[1:])))
    machine_of(project, tag="K-12")
    assert preview(client, project, do="take", row=["2", "3"]).status_code == 422
    assert Machine.objects.count() == 1


def test_cells_are_pasted_from_a_spreadsheet(client, project):
    found = bring(client, project, pasted=pasted(SOUND, ("K-12", *SOUND[1:]))).context["found"]
    assert [machine.tag for machine in found.sound] == ["K-11", "K-12"]


def test_headings_of_ones_own_are_told_once_and_remembered_by_the_project(client, project):
    heads = ("Item no.", "Class", *HEADS[2:], *PINIONS, "Remarks")
    rows = [(*SOUND, "old list")]
    response = bring(client, project, workbook(*rows, heads=heads))
    assert [line.place for line in response.context["found"].lines] == ["column A", "column B", "column H"]
    means = {"means:item no.": "tag", "means:class": "service_class", "means:remarks": "-"}
    found = preview(client, project, do="mean", **means).context["found"]
    assert [machine.tag for machine in found.sound] == ["K-11"]
    preview(client, project, do="drop")
    assert ColumnMeaning.objects.filter(project=project).count() == 3
    rows = [("K-15", *SOUND[1:], "new list")]
    found = bring(client, project, workbook(*rows, heads=("ITEM  NO.", *heads[1:]))).context["found"]
    assert [machine.tag for machine in found.sound] == ["K-15"]


def test_a_unit_in_a_heading_of_ones_own_counts(client, project):
    heads = (*HEADS[:4], "Gear speed (rad/s)", *PINIONS)
    bring(client, project, workbook((*SOUND[:4], 156.03, *SOUND[5:]), heads=heads))
    preview(client, project, do="mean", **{"means:gear speed": "bull_gear.speed"})
    preview(client, project, do="take", row=["2"])
    assert Machine.objects.get().description["bull_gear"]["speed"] == "156.03 rad/s"


def test_a_field_is_taken_once(client, project):
    heads = ("Item", "Number", *HEADS[1:], *PINIONS)
    bring(client, project, workbook(("K-11", *SOUND), heads=heads))
    response = preview(client, project, do="mean", **{"means:item": "tag", "means:number": "tag"})
    assert response.status_code == 422
    assert not ColumnMeaning.objects.exists()


def test_the_template_is_read_back(client, project):
    response = client.get(reverse("lists:sheet-template", args=[project.pk]))
    book = load_workbook(BytesIO(response.content))
    sheet = book["machines"]
    heads = [cell.value for cell in sheet[1]]
    told = {
        "tag": "K-11",
        "service_class": "process",
        "stage_count": 2,
        "hazardous_area": "unclassified",
        "bull_gear.speed": "1490 rpm",
        "pinions[0].speed": "18 200 rpm",
    }
    for name, value in told.items():
        sheet.cell(2, heads.index(name) + 1, value)
    out = BytesIO()
    book.save(out)
    found = bring(client, project, out.getvalue()).context["found"]
    assert [line.text for line in found.lines] == []
    assert [machine.tag for machine in found.sound] == ["K-11"]


def _zip_bomb():
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 60_000_000)
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "make"),
    [
        ("list.xlsx", lambda: b"not a workbook"),
        ("list.xlsx", _zip_bomb),
        ("list.xlsx", lambda: b""),
        ("list.csv", lambda: b"\xff\xfe\x00"),
        ("list.csv", lambda: b"tag,title\n" + b"K,x\n" * 20_000),
        ("list.csv", lambda: b"a," * 1000),
        ("list.xls", lambda: b"\xd0\xcf\x11\xe0"),
        ("list.exe", lambda: b"MZ"),
        ("list", lambda: b"tag"),
    ],
)
def test_a_hostile_or_unreadable_file_is_refused_with_a_sentence(name, make, client, project):
    response = bring(client, project, make(), name)
    assert response.status_code == 422
    assert response.context["problems"]
    assert not StagedSheet.objects.exists()


def test_a_formula_is_refused_at_its_cell(client, project):
    found = bring(client, project, workbook(("K-11", *SOUND[1:4], "=1+1", *SOUND[5:]))).context["found"]
    assert [line.place for line in found.lines][:1] == ["row 2, column E"]
    assert "formula" in found.lines[0].text


def test_hostile_text_stays_text(client, project):
    row = ("<script>alert(1)</script>", *SOUND[1:])
    page = bring(client, project, workbook(row)).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


def test_more_machines_than_allowed_are_refused(client, project):
    rows = [(f"K-{number}", *SOUND[1:]) for number in range(501)]
    found = bring(client, project, pasted=pasted(*rows)).context["found"]
    assert found.machines == ()
    assert "501 machines" in found.lines[0].text


def test_an_import_belongs_to_one_person(client, project):
    bring(client, project, workbook(SOUND))
    client.force_login(member(project, Role.ENGINEER))
    response = client.get(reverse("lists:sheet-preview", args=[project.pk]))
    assert response.status_code == 302


def test_a_file_and_pasted_cells_together_are_refused(client, project):
    response = bring(client, project, workbook(SOUND), pasted="tag\tx")
    assert response.status_code == 422
    assert response.context["pasted"] == "tag\tx"


def test_machines_go_out_and_come_back_the_same(client, project):
    for sample in ("contract_example", "us_units_process", "turbine_driven_hydrogen"):
        machine_of(project, name=sample)
    own = {machine.tag: machine for machine in project.machines.all()}
    for kind in ("csv", "xlsx"):
        content = client.get(reverse("lists:machine-list", args=[project.pk, kind])).content
        other = ProjectFactory()
        client.force_login(member(other, Role.OWNER))
        found = bring(client, other, content, f"list.{kind}").context["found"]
        assert [(line.place, line.text) for line in found.lines] == []
        preview(client, other, do="take", row=[str(machine.number) for machine in found.machines])
        for machine in other.machines.all():
            told = {name: value for name, value in own[machine.tag].description.items() if name != "format"}
            lost = {"devices", "sources", "criteria"}
            assert set(told) - lost <= set(machine.description)
        client.force_login(member(project, Role.OWNER))
    told = json.loads(client.get(reverse("lists:machine-list", args=[project.pk, "json"])).content)
    assert told == [machine.description for machine in project.machines.all()]


def described(**tables):
    return {**sample_description("contract_example"), "devices": {}, "sources": {}, "criteria": {}, **tables}


def test_a_workbook_has_devices_sources_and_criteria_on_sheets_and_tells_what_is_missing():
    told = described(
        tag="K-1",
        devices={"probe": {"ui_v": 28, "ambient_maximum": {"value": 60, "unit": "degC"}}},
        sources={"bull_gear.speed": {"document": "=D-1", "revision": "B", "state": "quoted"}},
        criteria={"radial.trip": {"value": 3, "reason": "Owner's practice"}},
    )
    book = load_workbook(BytesIO(table_workbook([told, described(tag="K-2")])))
    rows = {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in book}
    assert list(rows) == ["machines", "devices", "sources", "criteria", "not carried"]
    assert rows["devices"][1:] == [
        ("K-1", "probe", "ui_v", 28),
        ("K-1", "probe", "ambient_maximum", "60 degC"),
    ]
    assert rows["sources"] == [
        ("tag", "field", "document", "revision", "page", "state"),
        ("K-1", "bull_gear.speed", "=D-1", "B", None, "quoted"),
    ]
    assert rows["criteria"][1:] == [("K-1", "radial.trip", 3, "Owner's practice")]
    assert "bringing this list passes over it" in rows["not carried"][1][1]
    assert "Overrides, setpoint values" in rows["not carried"][-1][1]


def test_a_csv_file_tells_first_what_it_leaves_out():
    plain = table_csv([described(tag="K-1")]).decode("utf-8-sig")
    assert plain.startswith("tag,format,")
    told = table_csv([described(tag="K-1"), described(tag="K-2", devices={"probe": {"ui_v": 28}})])
    first, heads = told.decode("utf-8-sig").splitlines()[:2]
    assert first.strip('"').startswith("# Not in this file: devices of K-2. The JSON file has them.")
    assert heads.startswith("tag,format,")


def test_a_csv_file_of_many_machines_names_the_first_of_them():
    told = table_csv([described(tag=f"K-{n}", sources={"tag": {"page": "1"}}) for n in range(13)])
    assert b"K-11 and 1 more." in told.splitlines()[0]


def test_the_fields_a_column_may_be_are_told_in_words(client, project):
    page = bring(client, project, pasted=pasted(("K-1", "x"), heads=("tag", "n of P2"))).content.decode()
    assert '<optgroup label="P2"><option value="pinions[1].name">name of P2</option>' in page
    assert '<option value="stage_count">stage count</option>' in page
    assert "Choose the fields above" in page
    assert "or take over the machines" not in page
