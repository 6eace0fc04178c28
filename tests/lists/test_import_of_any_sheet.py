"""A workbook of anybody: any sheets, titles above the headings, merged and hidden cells, own headings."""

from io import BytesIO

import pytest
import xlsxwriter
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from specapp.core.roles import Role
from specapp.domain.machine_table import MOST_COLUMNS
from specapp.domain.workbook_sheets import MOST_SHEETS, read_sheets
from specapp.lists.models import ColumnMeaning, StagedSheet
from specapp.projects.models import Machine
from tests.factories import ProjectFactory, member
from tests.lists.bringing import HEADS, PINIONS, SOUND, workbook

pytestmark = pytest.mark.django_db

OWN = ("Item", "Duty (as bought)", "Stages", "Area", "Gear [rpm]", "Speed (rpm)", "Speed (rpm)")
PATHS = ("tag", "service_class", "stage_count", "hazardous_area", "bull_gear.speed")
SPEEDS = ("pinions[0].speed", "pinions[1].speed")
KEYS = ("item", "duty", "stages", "area", "gear", "speed", "speed #2")
MEANS = {f"means:{key}": path for key, path in zip(KEYS, (*PATHS, *SPEEDS), strict=True)}


@pytest.fixture
def project(client):
    project = ProjectFactory()
    client.force_login(member(project, Role.ENGINEER))
    return project


def book(*sheets):
    """Return a workbook of (name, rows, merged ranges, whether hidden)."""
    out = BytesIO()
    made = xlsxwriter.Workbook(out, {"in_memory": True})
    for name, rows, merged, is_hidden in sheets:
        page = made.add_worksheet(name)
        for number, row in enumerate(rows):
            for index, cell in enumerate(row):
                if cell is not None:
                    page.write(number, index, cell)
        for first, place in merged:
            page.merge_range(place, first)
        if is_hidden:
            page.hide()
        else:
            page.activate()
    made.close()
    return out.getvalue()


def owners(*rows, name="Train list"):
    """Return somebody's own sheet: a merged title, an empty row, headings in the fourth row."""
    title = ("Compressors of the site", "A1:G1")
    return (name, [(), ("Rev 2", "invented"), (), OWN, *rows], [title], False)


NOTES = ("Read me", [("This list", "is invented")], [], False)


def bring(client, project, data, name="list.xlsx"):
    typed = {"file": SimpleUploadedFile(name, data)}
    return client.post(reverse("lists:sheet-bring", args=[project.pk]), typed, follow=True)


def post(client, project, **posted):
    return client.post(reverse("lists:sheet-preview", args=[project.pk]), posted, follow=True)


def places(response):
    return {line.place: line.text for line in response.context["found"].lines}


def test_sheet_and_headings_are_chosen_told_once_and_remembered(client, project):
    data = book(NOTES, owners(SOUND))
    page = bring(client, project, data)
    assert page.context["chosen"]["name"] == "Read me"  # nothing is known yet of either
    page = post(client, project, do="place", sheet="1")
    assert page.context["head_row"] == 2  # the first row with two texts
    page = post(client, project, do="place", sheet="1", head_row="4")
    assert [item.text for item in page.context["mapped"]] == list(OWN)
    page = post(client, project, do="mean", **MEANS)
    assert [(item.tag, item.is_sound) for item in page.context["found"].machines] == [("K-11", True)]
    post(client, project, do="take", row=["5"])
    assert Machine.objects.get().description["pinions"][1]["speed"] == "40200 rpm"
    assert ColumnMeaning.objects.filter(project=project).count() == len(OWN)
    again = bring(client, project, book(NOTES, owners(("K-12", *SOUND[1:]))))
    assert (again.context["chosen"]["name"], again.context["head_row"]) == ("Train list", 4)
    assert [item.is_sound for item in again.context["found"].machines] == [True]


@pytest.mark.parametrize(
    ("posted", "said"),
    [
        ({"sheet": "2"}, "Train list"),
        ({"sheet": "x"}, "Train list"),
        ({"sheet": "1", "head_row": "9"}, "1 to 5"),
        ({"sheet": "1", "head_row": "-1"}, "1 to 5"),
    ],
)
def test_a_sheet_or_row_that_there_is_not_is_refused(posted, said, client, project):
    bring(client, project, book(NOTES, owners(SOUND)))
    page = post(client, project, do="place", **posted)
    assert page.status_code == 422
    assert said in page.context["wrong"][0].allowed


def test_a_hidden_sheet_is_offered_as_that_and_not_taken_by_itself(client, project):
    rows = [(*HEADS, *PINIONS), SOUND]
    page = bring(client, project, book(("old", rows, [], True), ("new", rows, [], False)))
    assert page.context["chosen"]["name"] == "new"
    assert "hidden" in page.content.decode()
    assert post(client, project, do="place", sheet="0").context["chosen"]["is_hidden"]


def test_merged_cells_are_told_each_with_its_address(client, project):
    rows = [(*HEADS, *PINIONS), SOUND, ("K-12", None, *SOUND[2:])]
    page = bring(client, project, book(("machines", rows, [("packaged_air", "B2:B3")], False)))
    told = places(page)
    assert list(told) == ["row 3, column B"]
    assert "merged cells B2:B3" in told["row 3, column B"]
    assert "repeat what B2 says" in told["row 3, column B"]


def test_a_heading_merged_over_two_rows_counts_in_the_lower(client, project):
    rows = [(), (None, *HEADS[1:], *PINIONS), SOUND]
    page = bring(client, project, book(("machines", rows, [("tag", "A1:A2")], False)))
    assert page.context["head_row"] == 2
    assert [machine.tag for machine in page.context["found"].machines] == ["K-11"]


def test_numbers_as_text_decimal_commas_and_empty_rows(client, project):
    text = ("K-12", "packaged_air", "3", "unclassified", "1490,5", "31 400", "40,200")
    page = bring(client, project, workbook((), SOUND, (), text))
    assert [machine.number for machine in page.context["found"].machines] == [3, 5]
    # A comma that parts thousands is read; of one that may not, both readings are told at its cell.
    told = places(page)
    assert list(told) == ["row 5, column E"]
    assert 'write "1490.5 rpm" or "14905 rpm"' in told["row 5, column E"]


def test_a_tag_twice_is_told_at_both_cells(client, project):
    page = bring(client, project, workbook(SOUND, SOUND))
    assert list(places(page)) == ["row 2, column A", "row 3, column A"]


def test_a_sheet_that_is_too_wide_keeps_no_other_from_being_read(client, project):
    wide = ("wide", [["x"] * (MOST_COLUMNS + 1)], [], False)
    page = bring(client, project, book(wide, owners(SOUND)))
    assert page.context["chosen"]["name"] == "Train list"
    assert f"at most {MOST_COLUMNS} columns" in StagedSheet.objects.get().sheets[0]["refused"]
    assert post(client, project, do="place", sheet="0").status_code == 422
    assert bring(client, project, book(wide)).status_code == 422


def test_an_empty_workbook_is_refused(client, project):
    assert bring(client, project, book(("one", [], [], False))).status_code == 422


def test_no_more_sheets_are_read_than_allowed():
    sheets = [(f"s{number}", [("x",)], [], False) for number in range(MOST_SHEETS + 1)]
    assert len(read_sheets(book(*sheets))) == MOST_SHEETS
