"""The as-built setpoints: every difference explained or open, as page, sheets, workbook and CSV."""

from io import BytesIO

import pytest
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfReader

from specapp.commissioning.models import DifferenceReason
from specapp.commissioning.services.as_built import as_built_lines, line_of, specified_of
from specapp.projects.deciding.overrides import override_set
from specapp.projects.deciding.setpoint_values import GivenValue, Provenance, setpoint_values_write
from specapp.projects.models import SetpointState
from tests.commissioning.making import measured
from tests.factories import NOW, machine_of

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
        return client.post(url, {"version": machine.version, "seen": seen(machine, line), **TOLD, **told})

    return write


def seen(machine, line, train=""):
    left = line_of(machine, line.item, line.level, train).left
    return left.pk if left else ""


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
        ({"value": "30", "version": "0"}, "changed this machine meanwhile"),
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


def test_a_value_left_meanwhile_is_shown_and_nothing_typed_is_lost(machine, line, post):
    assert post(value="30", person="N. Fitter").status_code == 302
    first = seen(machine, line)
    for told in ({"value": "29"}, {"value": "", "reason": "tuned on site"}):
        response = post(**told, seen="", document="Printout 4")
        page = response.content.decode()
        assert response.status_code == 409
        assert "another value was written down as left meanwhile" in page
        assert "N. Fitter, Printout 3" in page
        assert 'value="Printout 4"' in page
        assert f'name="seen" value="{first}"' in page
    assert machine.setpoint_values.count() == 1
    assert not DifferenceReason.objects.exists()
    assert post(value="29", document="Printout 4").status_code == 302


@pytest.mark.parametrize("told", [{"value": "29"}, {"value": "", "reason": "tuned on site"}])
def test_what_is_specified_meanwhile_is_shown_beside_what_was_typed(machine, line, post, engineer, told):
    """Whoever opened the page before an override of the trip and a value as left is shown both."""
    assert post(value="30", person="N. Fitter").status_code == 302
    before = machine.version
    machine.refresh_from_db()
    lower = line.specified.value - 5
    override_set(
        machine=machine,
        expected_version=machine.version,
        item=line.points[0].key,
        field="trip",
        value=lower,
        reason="agreed with the maker",
        author=engineer,
        now=NOW,
    )
    specified = line_of(machine, line.item, line.level).specified.value
    assert specified == lower
    response = post(**told, version=before, seen="", document="Printout 4")
    page = response.content.decode()
    assert response.status_code == 409
    assert "changed this machine meanwhile" in page
    assert f"<dt>Specified</dt><dd>{lower:g} " in page
    assert "N. Fitter, Printout 3" in page
    assert 'value="Printout 4"' in page
    machine.refresh_from_db()
    assert f'name="version" value="{machine.version}"' in page
    assert f'name="seen" value="{seen(machine, line)}"' in page
    assert not DifferenceReason.objects.exists()


def test_an_unknown_setpoint_is_not_found(machine, engineer, client):
    client.force_login(engineer)
    url = reverse("commissioning:left-enter", args=[machine.project_id, machine.pk])
    assert client.get(url + "?item=x&level=trip").status_code == 404


@pytest.fixture
def twins(project, engineer):
    """Return two identical machines under one description."""
    return machine_of(project, author=engineer, name="minimal_packaged", trains=["A", "B"])


def test_each_of_several_trains_is_left_by_itself(twins, engineer, client):
    client.force_login(engineer)
    lines = as_built_lines(twins, specified_of(twins), "A")
    line = next(each for each in lines if each.level == "trip" and each.specified.low is None)
    lower = line.specified.value - 1
    place = [twins.project_id, twins.pk]

    def post(train, **told):
        query = {"item": line.item, "level": line.level, "train": "A"}
        url = reverse("commissioning:left-enter", args=place, query=query)
        stood = seen(twins, line, train)
        return client.post(url, {"version": twins.version, "seen": stood, **TOLD, "train": train, **told})

    def states():
        return [line_of(twins, line.item, line.level, train).state for train in "AB"]

    assert post("B", value=f"{lower:g}").headers["Location"].endswith("?train=B")
    assert states() == ["not entered", "open"]
    assert post("A", value=f"{lower:g}", reason="agreed with the maker").status_code == 302
    assert states() == ["explained", "open"]
    assert post("B", reason="tuned on site").status_code == 302
    assert states() == ["explained", "explained"]
    assert post("A", value=f"{line.specified.value:g}").status_code == 302
    assert states() == ["as specified", "explained"]
    assert [row.train for row in DifferenceReason.objects.order_by("pk")] == ["A", "B"]
    assert list(twins.setpoint_values.values_list("note", flat=True)) == ["train B", "train A", "train A"]

    for train in ("", "C"):
        response = post(train, value="30")
        assert response.status_code == 422
        assert "train" in response.context["form"].errors
    page = client.get(
        reverse("commissioning:as-built-show", args=place, query={"train": "B"})
    ).content.decode()
    assert "tuned on site" in page
    assert line_of(twins, line.item, line.level, "B").tags in page
    assert line.tags not in page
    file = client.get(reverse("commissioning:as-built-file", args=[*place, "csv"])).content.decode(
        "utf-8-sig"
    )
    assert line.tags in file
    assert line_of(twins, line.item, line.level, "B").tags in file
    url = reverse("commissioning:as-built-show", args=place, query={"train": "C"})
    assert client.get(url).status_code == 404


def test_a_value_of_no_train_stands_in_all_until_one_has_its_own(twins, engineer, client):
    """Such a value comes with a list, or was written down before trains were told apart."""
    line = as_built_lines(twins, specified_of(twins), "A")[0]
    given = GivenValue(line.item, line.level, line.specified.value, line.specified.low, line.specified.unit)
    values = {"values": [given], "author": engineer, "now": NOW, "expected_version": twins.version}
    provenance = Provenance(SetpointState.AS_LEFT, "VS-9", "", "N. Fitter", NOW.date())
    setpoint_values_write(machine=twins, provenance=provenance, **values)
    for train in "AB":
        found = line_of(twins, line.item, line.level, train)
        assert (found.state, found.left_train) == ("as specified", "")
    client.force_login(engineer)
    page = client.get(reverse("commissioning:as-built-show", args=[twins.project_id, twins.pk]))
    assert "for all trains" in page.content.decode()
