"""The as-built setpoints: every difference explained or open, as page, sheets, workbook and CSV."""

from io import BytesIO

import pytest
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfReader

from specapp.commissioning.models import DifferenceReason
from specapp.commissioning.services.as_built import as_built_lines, line_of, specified_of
from specapp.projects.models import SetpointState
from tests.commissioning.making import measured

pytestmark = pytest.mark.django_db
TOLD = {"document": "Printout 3", "person": "N. Fitter", "dated": "2026-03-02"}


@pytest.fixture
def line(machine):
    lines = as_built_lines(machine, specified_of(machine))
    return next(
        each for each in lines if each.level == "trip" and each.points[0].quantity == "radial_vibration"
    )


@pytest.fixture
def post(machine, engineer, client, line):
    """Write the trip of the line as left."""
    client.force_login(engineer)
    query = {"item": line.item, "level": line.level}
    url = reverse("commissioning:left-enter", args=[machine.project_id, machine.pk], query=query)

    def write(**told):
        machine.refresh_from_db()
        return client.post(url, {"version": machine.version, **TOLD, **told})

    return write


def state(machine, line):
    return line_of(machine, line.item, line.level).state


def test_a_setpoint_as_left_is_as_specified_on_the_value_and_open_beside_it(machine, line, post):
    assert state(machine, line) == "not entered"
    assert post(value=f"{line.specified.value:g}").status_code == 302
    assert state(machine, line) == "as specified"
    assert post(value=f"{line.specified.value - 1:g}").status_code == 302
    assert state(machine, line) == "open"
    values = machine.setpoint_values.filter(state=SetpointState.AS_LEFT)
    assert [value.value for value in values] == [line.specified.value, line.specified.value - 1]


def test_a_reason_explains_the_difference_that_it_was_given_for_and_no_other(machine, line, post):
    lower = f"{line.specified.value - 2:g}"
    assert post(value=lower).status_code == 302
    assert post(reason="agreed with the maker", change_number="MOC-7").status_code == 302
    assert state(machine, line) == "explained"
    row = DifferenceReason.objects.get()
    assert (row.left, row.specified, row.change_number) == (float(lower), line.specified.value, "MOC-7")
    assert post(value=f"{line.specified.value - 3:g}").status_code == 302
    assert state(machine, line) == "open"
    assert post(value=lower).status_code == 302
    assert state(machine, line) == "explained"


def test_value_and_reason_come_in_one_step_all_or_nothing(machine, line, post):
    assert post(value=f"{line.specified.value - 1:g}", reason="tuned on site").status_code == 302
    assert state(machine, line) == "explained"
    count = machine.setpoint_values.count()
    assert post(value=f"{line.specified.value:g}", reason="for nothing").status_code == 422
    assert machine.setpoint_values.count() == count


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"value": "loud"}, "allowed: a number, in"),
        ({"value": "30", "document": ""}, "1 to 120 characters"),
        ({"value": "30", "dated": "2999-01-01"}, "a date up to"),
        ({"value": "30", "version": "0"}, "changed meanwhile"),
    ],
)
def test_what_cannot_be_is_told(machine, line, post, told, says):
    response = post(**told)
    assert response.status_code in (409, 422)
    assert says in response.content.decode()
    assert state(machine, line) == "not entered"


def test_the_schedule_is_page_sheets_workbook_and_csv(machine, line, post, client):
    post(value=f"{line.specified.value - 1:g}", reason="=1+1 <b>because</b>")
    measured(machine, key=line.points[0].key)

    def get(suffix):
        place = [machine.project_id, machine.pk, suffix]
        return client.get(reverse("commissioning:as-built-file", args=place))

    words = " ".join(" ".join(p.extract_text().split()) for p in PdfReader(BytesIO(get("pdf").content)).pages)
    assert "1 explained" in words
    assert "<b>because</b>" in words
    sheet = load_workbook(BytesIO(get("xlsx").content)).worksheets[0]
    cells = [row for row in sheet.iter_rows(values_only=True) if row[1] == line.item and row[2] == "trip"]
    assert cells[0][4:10] == (
        line.specified.value,
        None,
        line.specified.value - 1,
        None,
        "explained",
        "=1+1 <b>because</b>",
    )
    assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)
    assert ",'=1+1" in get("csv").content.decode("utf-8-sig")
    assert get("doc").status_code == 404
    page = client.get(reverse("commissioning:as-built-show", args=[machine.project_id, machine.pk]))
    assert "&lt;b&gt;because" in page.content.decode()
    assert f"{line.points[0].tag} -10 V" in page.content.decode()


def test_an_unknown_setpoint_is_not_found(machine, engineer, client):
    client.force_login(engineer)
    url = reverse("commissioning:left-enter", args=[machine.project_id, machine.pk])
    assert client.get(url + "?item=x&level=trip").status_code == 404
