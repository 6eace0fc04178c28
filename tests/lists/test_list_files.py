"""Every list of a page as a file: the same rows, in both kinds, by whoever may read the page."""

import csv
import html
import re
from io import BytesIO, StringIO

import pytest
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.deciding.overrides import override_set, override_undo
from specapp.projects.deciding.setpoint_values import GivenValue, Provenance, setpoint_values_write
from specapp.projects.inviting import invitation_make
from specapp.projects.models import Machine, Override
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.references.filled import registered
from tests.revisions.addresses import a_hold
from tests.revisions.rows import issued_rows
from tests.verification.making import kept

pytestmark = pytest.mark.django_db

GROUP = "P1/P1-1/radial"
# Page, its query, and the lists on it.
PAGES = {
    "projects:project-list": ("", {"projects"}),
    "projects:project-show": ("", {"machines", "members"}),
    "projects:member-list": ("", {"members", "invitations"}),
    "projects:override-list": ("", {"overrides", "undone_overrides"}),
    "projects:setpoint-value-list": ("show=given", {"setpoint_values", "written_down"}),
    "references:document-list": ("q=ga", {"reference_documents"}),
    "references:criteria-list": ("q=alarm", {"criteria"}),
    "references:rule-list": ("q=trip", {"rules"}),
    "references:source-list": ("show=missing", {"sources"}),
    "references:question-list": ("", {"maker"}),
    "lists:machine-search": ("q=K-1", {"machines"}),
    "lists:machine-compare": ("first={first}&second={second}", {"differences"}),
    "projects:machine-turning": ("", {"missing_facts"}),
}
_OF_NOBODY = ("projects:project-list", "lists:machine-search")
_OF_MACHINE = (
    "projects:override-list",
    "projects:setpoint-value-list",
    "projects:machine-turning",
    "references:source-list",
    "references:question-list",
)


@pytest.fixture
def project(client):
    project = ProjectFactory(name="Hollow Quay", number="HQ-1")
    owner = member(project, Role.OWNER)
    client.force_login(owner)
    project.owner = owner
    told = {"role": Role.READER, "for_whom": "N. Oyelaran"}
    invitation_make(project=project, author=owner, now=timezone.now(), **told)
    registered(project, revisions=("1", "2"))
    first = machine_of(project, author=owner, name="contract_example", tag="K-1")
    machine_of(project, author=owner, name="contract_example", tag="K-2")
    decided(first, owner)
    return project


def decided(machine, author):
    for field, value in (("trip", 36), ("alarm", 30)):
        machine.refresh_from_db()
        told = {"item": GROUP, "field": field, "value": value, "reason": "=1+1 of the maker"}
        override_set(machine=machine, expected_version=machine.version, author=author, now=NOW, **told)
    machine.refresh_from_db()
    undone = Override.objects.get(field="alarm")
    override_undo(override=undone, expected_version=machine.version, author=author, now=NOW)
    machine.refresh_from_db()
    setpoint_values_write(
        machine=machine,
        expected_version=machine.version,
        values=[GivenValue(GROUP, "trip", 40.0, None, "um")],
        provenance=Provenance("MAKERS", "VS-118", "1", "the maker", NOW.date()),
        author=author,
        now=NOW,
    )


def address(name, project):
    first, second = Machine.objects.order_by("pk").values_list("pk", flat=True)
    query = PAGES[name][0].format(first=first, second=second)
    place = [] if name in _OF_NOBODY else [project.pk, first] if name in _OF_MACHINE else [project.pk]
    return f"{reverse(name, args=place)}?{query}"


def links(page):
    """Return the addresses of a page's lists as files, by list and kind."""
    found = re.findall(r'<a href="(\?[^"]*as=(csv|xlsx)[^"]*list=(\w+))" download', page)
    return {(key, kind): html.unescape(link) for link, kind, key in found}


def rows_on(page):
    """Return how many rows each table of a page has, headings inside it aside."""
    tables = re.findall(r"<tbody>(.*?)</tbody>", page, re.DOTALL)
    return [len(re.findall(r"<tr(?! class=\"group\")", table)) for table in tables]


def test_lists_of_revisions_the_bench_and_trips_go_out_too(client, project):
    machine = Machine.objects.get(tag="K-1")
    issued_rows(machine)
    a_hold(machine)
    run = kept(machine, scenarios=("step_above_trip",))
    of_project, of_machine = [project.pk], [project.pk, machine.pk]
    for name, place, keys in (
        ("projects:project-record", of_project, {"record"}),
        ("revisions:issue-list", of_project, {"transmittals"}),
        ("revisions:register-list", of_project, {"register_of_documents"}),
        ("revisions:revision-list", of_machine, {"revisions"}),
        ("revisions:hold-list", of_machine, {"on_hold"}),
        ("verification:run-list", of_machine, {"bench_runs"}),
        ("verification:run-show", [*of_machine, run.number], {"functions_by_scenarios", "settings"}),
        ("assurance:function-list", of_machine, {"functions"}),
        ("assurance:loop-list", of_machine, set()),
        ("assurance:entity-list", of_machine, set()),
        ("assurance:area-show", of_machine, set()),
    ):
        where = reverse(name, args=place)
        files = links(client.get(where).content.decode())
        assert {key for key, _ in files} >= keys, name
        assert files, name
        for (_, kind), link in files.items():
            answer = client.get(where + link)
            assert answer["Content-Disposition"].endswith(f'.{kind}"'), link
            if kind == "csv":
                assert len(list(csv.reader(StringIO(answer.content.decode("utf-8-sig"))))) > 1, link


@pytest.mark.parametrize("name", PAGES)
def test_a_list_goes_out_as_the_page_shows_it(name, client, project):
    where = address(name, project)
    page = client.get(where).content.decode()
    files = links(page)
    assert {key for key, _ in files} >= PAGES[name][1]
    shown = html.unescape(re.sub(r"<[^>]*>", "", page))
    for key in PAGES[name][1]:
        place = where.partition("?")[0]
        written = client.get(place + files[key, "csv"])
        assert re.fullmatch(rf'attachment; filename="[\w-]*{key}\.csv"', written["Content-Disposition"])
        table = list(csv.reader(StringIO(written.content.decode("utf-8-sig"))))
        assert len(table) > 1
        counts = rows_on(page)
        # Sources stand in several tables; a comparison shows the first of very many differences.
        assert len(table) - 1 in counts or len(table) - 1 >= sum(counts)
        if key != "differences":
            lead = 1 if table[0][0] in ("Group", "No.") else 0
            assert [row for row in table[1:] if row[lead].split(", ")[0].lstrip("'") not in shown] == []
        book = load_workbook(BytesIO(client.get(place + files[key, "xlsx"]).content))
        cells = list(book.active.iter_rows(values_only=True))
        assert list(cells[0]) == table[0]
        assert len(cells) == len(table)


def test_nothing_in_a_list_becomes_a_formula(client, project):
    where = address("projects:override-list", project) + "&as="
    table = list(csv.reader(StringIO(client.get(f"{where}csv").content.decode("utf-8-sig"))))
    assert "'=1+1 of the maker" in table[1]
    sheet = load_workbook(BytesIO(client.get(f"{where}xlsx").content)).active
    told = [cell for row in sheet.iter_rows() for cell in row if cell.value == "=1+1 of the maker"]
    assert [cell.data_type for cell in told] == ["s"]


def test_a_list_asks_for_the_right_of_its_page_and_is_recorded(client, project):
    where = address("projects:member-list", project)
    assert client.get(f"{where}as=csv&list=rules").status_code == 404
    assert client.get(f"{where}as=exe").status_code == 404
    assert client.get(f"{where}as=csv").status_code == 200
    entry = AuditEntry.objects.filter(action="file.download").latest("pk")
    assert (entry.object_name, entry.project_id) == ("HQ-1_members.csv", project.pk)
    kept = client.get(f"{where}as=csv&list=invitations").content.decode()
    assert "N. Oyelaran" in kept
    assert "http" not in kept
    client.force_login(member(project, Role.READER))
    assert client.get(f"{where}as=csv").status_code == 403
