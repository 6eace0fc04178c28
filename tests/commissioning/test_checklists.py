"""Checklists: made, filled, kept, signed, corrected, printed."""

from io import BytesIO

import pytest
from django.db import DatabaseError, connection, transaction
from django.urls import reverse
from pypdf import PdfReader

from specapp.commissioning.errors import Refused, Stale
from specapp.commissioning.models import ChecklistEntry, Part, Stage
from specapp.commissioning.services.checklists import items_of, standing_entries
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from tests.commissioning.making import filled, made, signed, written
from tests.factories import PASSWORD, machine_of, member

pytestmark = pytest.mark.django_db


def item_named(row, name):
    return next(item for item in items_of(row) if item.key.endswith(f"/{name}"))


def place(row, *more, name="item-fill"):
    return reverse(f"commissioning:{name}", args=[row.machine.project_id, row.machine_id, row.pk, *more])


def number_of(row, item):
    return items_of(row).index(item) + 1


def test_every_channel_delay_vote_fault_and_supply_of_the_machine_is_in_its_lists(machine):
    keys = {item.key.rpartition("/")[2] for item in items_of(made(machine, Stage.FACTORY))}
    assert {"indication", "trip", "trip delay", "fault open", "fault short", "bypass", "latch"} <= keys
    assert any(key.startswith("vote ") for key in keys)
    assert "gap voltage" in {item.key.rpartition("/")[2] for item in items_of(made(machine))}


@pytest.mark.parametrize(
    ("value", "result"), [(-9.0, "PASS"), (-11.0, "PASS"), (-8.99, "FAIL"), (-11.01, "FAIL")]
)
def test_a_number_is_judged_on_each_side_of_its_limits(site_list, engineer, client, value, result):
    item = item_named(site_list, "gap voltage")
    client.force_login(engineer)
    told = {"as_found": f"{value:g}", "result": "BY_NUMBER", "remark": "as read", "seen": "0"}
    response = client.post(place(site_list, number_of(site_list, item)), told)
    assert response.status_code == 302
    entry = standing_entries(site_list)[item.key]
    assert (entry.as_found, entry.result, entry.person) == (value, result, engineer)


def test_as_left_stands_over_as_found_and_another_unit_is_converted(site_list, engineer, client):
    item = item_named(site_list, "gap voltage")
    client.force_login(engineer)
    told = {"as_found": "-8.2", "as_left": "-9800 mV", "result": "BY_NUMBER", "seen": "0"}
    client.post(place(site_list, number_of(site_list, item)), told)
    entry = standing_entries(site_list)[item.key]
    assert (entry.as_found, entry.as_left, entry.result) == (-8.2, -9.8, "PASS")


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"result": "BY_NUMBER"}, "Found no number"),
        ({"result": "BY_NUMBER", "as_found": "ten volts"}, "allowed: a number, in V"),
        ({"result": "BY_NUMBER", "as_found": "3 mm"}, "allowed: a number, in V"),
        ({"result": "BY_NUMBER", "as_found": "-8"}, "A fail needs a remark"),
        ({"result": "NOT_APPLICABLE"}, "needs a remark that says why"),
        ({"result": "FINE", "as_found": "-10"}, "allowed: one of"),
    ],
)
def test_what_cannot_be_is_told_and_what_was_typed_stays(site_list, engineer, client, told, says):
    item = item_named(site_list, "gap voltage")
    client.force_login(engineer)
    response = client.post(place(site_list, number_of(site_list, item)), {"seen": "0", **told})
    assert response.status_code == 422
    assert says in response.content.decode()
    assert told.get("as_found", "") in response.content.decode()
    assert not site_list.entries.exists()


def test_of_two_people_at_one_item_the_second_is_shown_the_first_and_loses_nothing(
    site_list, engineer, client
):
    item = item_named(site_list, "gap voltage")
    written(site_list, item, as_found=-9.5)
    client.force_login(engineer)
    url = place(site_list, number_of(site_list, item))
    response = client.post(url, {"as_found": "-10.5", "result": "BY_NUMBER", "seen": "0"})
    assert response.status_code == 409
    page = response.content.decode()
    assert "found -9.5" in page
    assert 'value="-10.5"' in page
    assert 'name="seen" value="1"' in page
    assert client.post(url, {"as_found": "-10.5", "result": "BY_NUMBER", "seen": "1"}).status_code == 302
    assert [entry.as_found for entry in site_list.entries.all()] == [-9.5, -10.5]


def test_after_saving_the_next_open_item_follows(site_list, engineer, client):
    for item in items_of(site_list)[1:3]:
        written(site_list, item)
    first = items_of(site_list)[0]
    client.force_login(engineer)
    told = {"as_found": f"{first.low:g}", "result": "BY_NUMBER" if first.entry == "number" else "PASS"}
    response = client.post(place(site_list, 1), told | {"seen": "0"})
    assert response.url == place(site_list, 4)


def test_a_list_is_signed_when_it_is_complete_and_by_two_people(site_list, engineer, project):
    witness = member(project, Role.REVIEWER)
    with pytest.raises(Refused, match="items have no entry yet"):
        signed(site_list, engineer)
    filled(site_list)
    with pytest.raises(Refused, match="Not in turn"):
        signed(site_list, witness, Part.WITNESSED)
    signed(site_list, engineer)
    with pytest.raises(Refused, match="the witness is another person"):
        signed(site_list, engineer, Part.WITNESSED)
    signed(site_list, witness, Part.WITNESSED)
    with pytest.raises(Refused, match="signed these entries as tested already"):
        signed(site_list, engineer)


def test_a_wrong_password_and_a_list_that_has_moved_are_refused(site_list, engineer):
    filled(site_list)
    with pytest.raises(Refused, match="not your password"):
        signed(site_list, engineer, password="not-this-one")
    assert AuditEntry.objects.filter(action="checklist.sign_refused").count() == 1
    with pytest.raises(Stale, match="An entry was added"):
        signed(site_list, engineer, checksum="0" * 64)
    # A right one has begun the count anew.
    for _ in range(5):
        with pytest.raises(Refused, match="not your password"):
            signed(site_list, engineer, password="not-this-one")
    with pytest.raises(Refused, match="Too many wrong passwords"):
        signed(site_list, engineer)


def test_after_signing_a_correction_is_a_new_entry_with_a_reason_and_wants_a_new_signature(
    site_list, engineer
):
    filled(site_list)
    signed(site_list, engineer)
    item = item_named(site_list, "gap voltage")
    with pytest.raises(Refused, match="a correction needs a remark"):
        written(site_list, item, as_found=-10.0)
    entry = written(site_list, item, as_found=-10.0, remark="read on the wrong channel")
    assert (entry.is_correction, entry.sequence) == (True, 2)
    signed(site_list, engineer)
    assert site_list.signatures.count() == 2


def test_the_database_refuses_to_change_an_entry(site_list):
    entry = written(site_list, items_of(site_list)[0])
    with pytest.raises(DatabaseError, match="never changes"), transaction.atomic():
        ChecklistEntry.objects.filter(pk=entry.pk).update(remark="nothing happened")
    assert connection.vendor in ("sqlite", "postgresql")


def test_the_filled_list_is_printed_with_its_numbers_names_and_hostile_remarks(site_list, engineer, client):
    item = item_named(site_list, "gap voltage")
    filled(site_list)
    written(site_list, item, result="FAIL", as_found=-8.25, remark="<b>loose</b> & </para> hung")
    signed(site_list, engineer)
    client.force_login(engineer)
    response = client.get(place(site_list, name="checklist-file"))
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(response.content)).pages)
    words = " ".join(text.split())
    assert "as filled" in words
    assert "−8.25" in words
    assert "<b>loose</b>" in words
    assert engineer.get_full_name() in words
    assert "1 of them fail" in words
    assert response["Content-Disposition"].endswith('.pdf"')


def test_a_sign_page_signs(site_list, engineer, client):
    filled(site_list)
    client.force_login(engineer)
    url = place(site_list, "TESTED", name="checklist-sign")
    checksum = client.get(url).context["checksum"]
    response = client.post(url, {"password": PASSWORD, "checksum": checksum})
    assert response.url == place(site_list, name="checklist-show")
    page = client.get(response.url).content.decode()
    assert checksum in page
    assert client.get(place(site_list, "CHECKED", name="checklist-sign")).status_code == 404


def test_only_an_issued_revision_of_this_machine_makes_a_list(machine, engineer, client):
    client.force_login(engineer)
    url = reverse("commissioning:checklist-new", args=[machine.project_id, machine.pk])
    assert client.post(url, {"stage": "site", "revision": "77"}).status_code == 422
    assert client.post(url, {"stage": "site", "revision": ""}).status_code == 302
    assert machine.checklists.get().basis == f"working, v{machine.version}, not issued"


def test_each_of_several_identical_machines_has_lists_and_records_of_its_own(project, engineer, client):
    machine = machine_of(project, author=engineer, name="minimal_packaged", trains=["A", "B"])
    with pytest.raises(Refused, match="one of the trains A, B"):
        made(machine)
    client.force_login(engineer)
    url = reverse("commissioning:checklist-new", args=[project.pk, machine.pk])
    assert client.post(url, {"stage": "site"}).status_code == 422
    assert client.post(url, {"stage": "site", "train": "B"}).status_code == 302
    row = machine.checklists.get()
    tags = {point.tags["B"] for point in machine_proposal(machine).points}
    assert row.train == "B"
    assert {tag for item in items_of(row) for tag in item.tags} <= tags
    url = reverse("commissioning:measurement-new", args=[project.pk, machine.pk, "gap_voltage"])
    told = {"condition": "AS_FOUND", "measured_on": "2026-03-02", "gap_v": "-10", "train": "B"}
    key = next(p.key for p in machine_proposal(machine).points if p.quantity == "radial_vibration")
    assert client.post(f"{url}?item={key}", {**told, "train": "C"}).status_code == 422
    assert client.post(f"{url}?item={key}", told).status_code == 302
    assert machine.measurements.get().tags in tags
