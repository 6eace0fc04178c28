"""Records of measurements as pages: written, refused, corrected, compared, printed; a baseline adopted."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, transaction
from django.urls import reverse
from pypdf import PdfReader

from specapp.commissioning.errors import Refused
from specapp.commissioning.models import Condition, Measurement
from specapp.commissioning.services.measurements import judgement_of
from specapp.projects.deciding.ground import machine_proposal
from tests.commissioning.making import measured
from tests.factories import machine_of
from tests.kernel.test_loop_curve import HAND, straight

pytestmark = pytest.mark.django_db


def place(machine, name, *more, **query):
    return reverse(f"commissioning:{name}", args=[machine.project_id, machine.pk, *more], query=query or None)


def first_key(machine, quantity):
    return next(point.key for point in machine_proposal(machine).points if point.quantity == quantity)


def curve(machine, readings, **changed):
    return measured(machine, "loop_curve", {"readings": [list(pair) for pair in readings]}, **changed)


def test_a_curve_is_typed_and_shown_with_its_picture_and_why(machine, engineer, client):
    client.force_login(engineer)
    url = place(machine, "measurement-new", "loop_curve", item=first_key(machine, "radial_vibration"))
    told = {"condition": "AS_FOUND", "measured_on": "2026-03-02", "material": "AISI 4140"}
    readings = "\n".join(f"{gap} {volts}" for gap, volts in HAND)
    response = client.post(url, told | {"readings": readings})
    assert response.status_code == 302
    page = client.get(response.url).content.decode()
    assert "Passes" in page
    assert "<svg" in page
    assert "-9.87 V at 1.25 mm" in page
    assert "API 670 (from memory)" in page
    assert "AISI 4140" in page


def test_a_curve_from_a_file_keeps_all_that_was_typed_when_a_cell_is_wrong(machine, engineer, client):
    client.force_login(engineer)
    url = place(machine, "measurement-new", "loop_curve", item=first_key(machine, "radial_vibration"))
    told = {"condition": "AS_LEFT", "measured_on": "2026-03-02", "material": "4140 & <b>"}
    wrong = SimpleUploadedFile("curve.csv", b"gap,output\n0.25,-2\n0.5,=1+1\n,-4\n")
    response = client.post(url, told | {"file": wrong})
    page = response.content.decode()
    assert response.status_code == 422
    assert "B3: found" in page
    assert "A4: found" in page
    assert 'value="4140 &amp; &lt;b&gt;"' in page
    right = SimpleUploadedFile("c.csv", ("gap,output\n" + "".join(f"{g},{v}\n" for g, v in HAND)).encode())
    assert client.post(url, told | {"file": right}).status_code == 302


def test_as_left_is_compared_with_as_found(machine, engineer, client):
    found = curve(machine, straight(7.3))
    left = curve(machine, HAND, condition=Condition.AS_LEFT)
    assert not judgement_of(found).passes
    client.force_login(engineer)
    page = client.get(place(machine, "measurement-show", left.pk)).content.decode()
    assert "Against as found" in page
    assert "Scale factor +6.1 percent" in page
    assert "austenitic" in client.get(place(machine, "measurement-show", found.pk)).content.decode()


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({}, "Found nothing; allowed: a text"),
        ({"gap_v": "wide"}, "allowed: a number, in V"),
        ({"gap_v": "-10", "measured_on": "2999-01-01"}, "allowed is a day up to today"),
        ({"gap_v": "-10", "measured_on": "03/04/2026"}, "a date such as 2026-03-31"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(machine, engineer, client, told, says):
    client.force_login(engineer)
    url = place(machine, "measurement-new", "gap_voltage", item=first_key(machine, "radial_vibration"))
    response = client.post(url, {"condition": "AS_FOUND", "measured_on": "2026-03-02", **told})
    assert response.status_code == 422
    assert says in response.content.decode()
    assert not Measurement.objects.exists()


def test_a_number_against_nature_is_told_at_its_field(machine, engineer, client):
    client.force_login(engineer)
    url = place(machine, "measurement-new", "runout", item=first_key(machine, "radial_vibration"))
    told = {"condition": "AS_FOUND", "measured_on": "2026-03-02", "total_um": "-3"}
    response = client.post(url, told)
    assert response.status_code == 422
    assert "must be" in response.content.decode()


def test_an_item_of_another_kind_and_an_unknown_kind_are_not_written(machine, engineer, client):
    client.force_login(engineer)
    axial = place(machine, "measurement-new", "runout", item="P1/P1-1/nothing")
    assert client.get(axial).status_code == 422
    assert client.get(place(machine, "measurement-new", "temper")).status_code == 404
    assert client.get(place(machine, "measurement-new", "runout", corrects="9" * 40)).status_code == 404


def test_a_correction_is_a_new_record_and_the_first_stays(machine, engineer, client):
    first = measured(machine)
    with pytest.raises(Refused, match="needs a remark"):
        measured(machine, corrects=first)
    client.force_login(engineer)
    url = place(machine, "measurement-new", "gap_voltage", corrects=first.pk)
    assert 'value="-10"' in client.get(url).content.decode()
    told = {"condition": "AS_FOUND", "measured_on": "2026-03-02", "gap_v": "-9.5", "remark": "wrong channel"}
    assert client.post(url, told).status_code == 302
    assert client.post(url, told).status_code == 422
    page = client.get(place(machine, "measurement-show", first.pk)).content.decode()
    assert "Corrected by" in page
    with pytest.raises(DatabaseError, match="never changes"), transaction.atomic():
        Measurement.objects.filter(pk=first.pk).update(remark="nothing")


def test_a_baseline_proposes_the_alarm_of_its_criterion_and_only_adopting_sets_it(project, engineer, client):
    machine = machine_of(project, author=engineer, name="minimal_process", tag="K-9")
    # On the slow bull gear a quiet baseline leaves 1.5 times the acceptance limit, on a pinion it governs.
    points = [p for p in machine_proposal(machine).points if p.quantity == "radial_vibration"]
    key = next(p.voting_group for p in points if p.shaft == "P1")
    slow = next(p.voting_group for p in points if p.shaft == "BG")
    before = next(p for p in machine_proposal(machine).points if p.voting_group == key).setpoints.alarm
    data = {"baseline": 4.0, "speed_rpm": 1500.0, "load": "full load"}
    row = measured(machine, "baseline", data, key=key)
    results = dict(judgement_of(row).results)
    assert "Candidate radial.baseline" in results
    after = next(p for p in machine_proposal(machine).points if p.voting_group == key).setpoints.alarm
    assert after.value == before.value
    client.force_login(engineer)
    url = place(machine, "measurement-adopt", row.pk)
    assert client.post(url, {"version": "0"}).status_code == 409
    machine.refresh_from_db()
    assert client.post(url, {"version": machine.version}).status_code == 302
    override = machine.overrides.get()
    assert (override.item, override.field) == (key, "alarm")
    assert override.value < before.value
    assert f"record {row.pk}, radial.baseline" in override.reason
    assert results["Alarm by this baseline"].startswith(f"{override.value:g}")
    same = measured(machine, "baseline", data, key=slow)
    assert dict(judgement_of(same).results)["Against the alarm of today"] == "the same"
    told = {"version": str(machine.version + 1)}
    assert client.post(place(machine, "measurement-adopt", same.pk), told).status_code == 422


def test_a_record_that_is_no_baseline_sets_nothing(machine, engineer, client):
    client.force_login(engineer)
    response = client.post(place(machine, "measurement-adopt", measured(machine).pk), {"version": "1"})
    assert response.status_code == 422
    assert not machine.overrides.exists()


def test_all_records_are_printed_with_hostile_text_as_text(machine, engineer, client):
    curve(machine, straight(7.3), remark="<i>dirty</i> & </para>")
    measured(machine, instrument="meter <7>")
    client.force_login(engineer)
    content = client.get(place(machine, "measurement-file")).content
    words = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(content)).pages)
    assert "<i>dirty</i>" in words
    assert "meter <7>" in words
    assert "austenitic" in words
    assert client.get(place(machine, "commissioning-show")).context["fail_count"] == 1
