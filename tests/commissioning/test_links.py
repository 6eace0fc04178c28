"""From an item of a checklist to what was measured there and back, and from a returned sheet to the item."""

import pytest
from django.urls import reverse

from specapp.bench.checklists import checklist
from specapp.commissioning.presenting.links import items_of_record, records_of
from specapp.commissioning.services.checklists import items_of
from specapp.documents.annotation_places import spotted
from specapp.documents.annotations import Remark
from specapp.documents.options import Options
from specapp.documents.place_index import places_in
from specapp.documents.registry import DOCUMENTS
from specapp.documents.sheet import Frame
from tests.commissioning.making import made, measured
from tests.documents.sample import proposal


def test_an_item_leads_to_the_records_of_its_tag_and_a_record_back(machine, site_list, engineer, client):
    first = measured(machine)
    stands = measured(machine, data={"gap_v": -9.8}, corrects=first, remark="read again")
    tested = [item for item in items_of(site_list) if item.subject == stands.item]
    assert len(tested) > 1
    for item in items_of(site_list):
        found = [line.row for line in records_of(site_list, item)]
        assert found == ([stands] if item.tags == (stands.tags,) or item in tested else []), item.key
    ((row, lines),) = items_of_record(stands)
    assert (row, [line.item for line in lines]) == (site_list, tested)

    client.force_login(engineer)
    place = [machine.project_id, machine.pk]
    record = reverse("commissioning:measurement-show", args=[*place, stands.pk])
    item = reverse("commissioning:item-fill", args=[*place, site_list.pk, lines[0].number])
    page = client.get(item).content.decode()
    assert record in page
    assert reverse("commissioning:measurement-show", args=[*place, first.pk]) not in page
    assert item in client.get(record).content.decode()


def test_the_last_checklist_of_each_stage_is_told(machine, site_list):
    row = measured(machine)
    factory, later = made(machine, stage="factory"), made(machine)
    assert {each.pk for each, _ in items_of_record(row)} == {factory.pk, later.pk}


@pytest.mark.parametrize("stage", ["factory", "site"])
def test_a_remark_on_a_row_of_an_issued_checklist_is_on_what_the_row_tests(stage):
    machine = proposal("minimal_packaged")
    items = checklist(machine, stage)
    sheets = places_in(DOCUMENTS[f"{stage}_checklist"].render(machine, Options(code="7KQ2M4TD")))
    wanted = [item.subject.partition("/")[0] if item.part == "interfaces" else item.subject for item in items]
    rows = [(number, row) for number, places in enumerate(sheets, start=1) for row in places.rows]
    assert sorted(row.item for _, row in rows) == sorted(wanted)
    for number, row in rows[:: max(1, len(rows) // 20)]:
        frame = Frame(row.left + 2, row.bottom + 1, row.right - 2, row.top - 1)
        assert spotted(Remark("id", number, "Note", "x", "", frame, False), sheets).item == row.item
