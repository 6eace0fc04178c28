"""The proposal page, its reasons, units and documents."""

import io
import re

import openpyxl
import pytest
from django.urls import reverse
from pypdf import PdfReader

from specapp.core.roles import Role
from specapp.documents.registry import DOCUMENTS
from specapp.projects.models import Machine, PageSize
from specapp.projects.worked import engine_digest, proposal_for
from tests.factories import ProjectFactory, machine_of, member

pytestmark = pytest.mark.django_db
# Session, user, membership with project, machine with its last author, overrides, criteria.
QUERIES_OF_A_MACHINE_PAGE = 7
HTMX = {"HX-Request": "true"}


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def reader(project, client):
    person = member(project, Role.READER)
    client.force_login(person)
    return person


def url(name, machine, *more):
    return reverse(f"projects:{name}", args=[machine.project_id, machine.pk, *more])


@pytest.mark.parametrize("name", ["minimal_packaged", "minimal_process", "eight_stage", "ten_stage"])
def test_a_page_costs_the_same_queries_however_many_points(
    name, project, reader, client, django_assert_num_queries
):
    machine = machine_of(project, name=name)
    key = proposal_for(machine.description).points[0].key
    # Setpoints come with the values given for them, a point also with what was done to it; that a point
    # was opened is looked up and kept in three more.
    for page, values in (
        (url("machine-show", machine), 1),
        (url("point-show", machine, key), 2 + 3),
        (url("document-list", machine), 0),
    ):
        with django_assert_num_queries(QUERIES_OF_A_MACHINE_PAGE + values):
            assert client.get(page).status_code == 200


def test_every_section_holds_what_the_proposal_holds(project, reader, client):
    machine = machine_of(project, name="contract_example")
    proposal = proposal_for(machine.description)
    response = client.get(url("machine-show", machine))
    counts = {section.key: section.count for section in response.context["sections"]}
    assert counts["points"] == len(proposal.points)
    assert counts["checks"] == len(proposal.checks)
    assert counts["bill"] == len(proposal.bill_of_materials)
    page = response.content.decode()
    for point in proposal.points:
        assert f">{point.tag}<" in page


def test_only_what_needs_me_leaves_out_what_is_settled(project, reader, client):
    machine = machine_of(project, name="contract_example")
    response = client.get(url("machine-show", machine), {"show": "needs"})
    assert response.context["sections"]
    assert all(section.needs for section in response.context["sections"])
    assert "bill" not in {section.key for section in response.context["sections"]}


def test_every_why_of_the_page_has_an_answer(project, reader, client):
    machine = machine_of(project, name="contract_example")
    page = client.get(url("machine-show", machine)).content.decode()
    asked = set(re.findall(r'href="(\?why=[^"#]+)#why"', page))
    assert len(asked) > 50
    for query in asked:
        response = client.get(url("machine-show", machine) + query, headers=HTMX)
        assert response.status_code == 200, query
        assert response.context["why"].reasons, query


def test_a_why_is_a_fragment_for_htmx_and_a_page_for_everyone_else(project, reader, client):
    machine = machine_of(project)
    key = proposal_for(machine.description).points[0].key
    fragment = client.get(url("machine-show", machine), {"why": key}, headers=HTMX)
    page = client.get(url("machine-show", machine), {"why": key})
    restored = client.get(
        url("machine-show", machine), {"why": key}, headers={**HTMX, "HX-History-Restore-Request": "true"}
    )
    assert fragment.content.strip().startswith(b'<aside id="why"')
    assert b"<html" not in fragment.content
    for whole in (page, restored):
        assert b"<html" in whole.content
        assert b'<aside id="why"' in whole.content
    assert "HX-Request" in fragment.headers["Vary"]
    assert "HX-Request" in page.headers["Vary"]


@pytest.mark.parametrize("asked", ["t999999", "t", "t1.", "P9/none", "t" + "1." * 400 + "1", "<x>"])
def test_a_why_about_nothing_is_not_found(asked, project, reader, client):
    assert client.get(url("machine-show", machine_of(project)), {"why": asked}).status_code == 404


def test_the_unit_switch_converts_what_is_shown_and_nothing_else(project, reader, client):
    machine = machine_of(project, name="contract_example")
    before = Machine.objects.get().description
    as_set = client.get(url("machine-show", machine)).content.decode()
    in_us = client.get(url("machine-show", machine), {"units": "us"}).content.decode()
    assert "mil p-p" in in_us
    assert "mil p-p" not in as_set
    alarm = next(
        point for point in proposal_for(before).points if point.quantity == "radial_vibration"
    ).setpoints.alarm
    assert f"set {alarm.value:g} µm p-p" in in_us
    assert "mil p-p" in client.get(url("machine-show", machine)).content.decode(), "the choice is kept"
    client.get(url("machine-show", machine), {"units": "nonsense"})
    assert client.session["display_units"] == "us"
    assert Machine.objects.get().description == before


def test_every_point_has_a_sheet_with_all_candidates(project, reader, client):
    machine = machine_of(project, name="contract_example")
    for point in proposal_for(machine.description).points:
        response = client.get(url("point-show", machine, point.key))
        sheet = response.context["sheet"]
        levels = [item for item in (point.setpoints.alarm, point.setpoints.trip) if item]
        levels += [
            item
            for reading in point.further_readings
            for item in (reading.setpoints.alarm, reading.setpoints.trip)
            if item
        ]
        assert [len(item.candidates) for item in sheet.setpoints] == [len(item.candidates) for item in levels]
    assert client.get(url("point-show", machine, "P9/none")).status_code == 404


@pytest.mark.parametrize("key", list(DOCUMENTS))
def test_every_document_is_downloaded_as_working(key, project, reader, client):
    project.page_size = PageSize.LETTER
    project.save()
    machine = machine_of(project, name="contract_example", tag="K 44/10")
    document = DOCUMENTS[key]
    response = client.get(url("document-download", machine, key))
    assert response.status_code == 200
    assert response.headers["Content-Type"] == document.media_type
    assert response.headers["Content-Disposition"] == f'attachment; filename="K-44-10_{document.filename}"'
    if document.filename.endswith(".pdf"):
        first = PdfReader(io.BytesIO(response.content)).pages[0]
        assert "not issued" in first.extract_text()
        assert {round(float(side)) for side in first.mediabox[2:]} == {612, 792}
    if document.filename.endswith(".xlsx"):
        assert openpyxl.load_workbook(io.BytesIO(response.content)).worksheets


def test_drawings_are_shown_in_the_page_and_may_run_nothing(project, reader, client):
    machine = machine_of(project, title="<script>alert(1)</script>")
    page = client.get(url("machine-show", machine)).content.decode()
    shown = re.findall(r'<img src="([^"]+)"', page)
    assert len(shown) == 2
    for address in shown:
        drawing = client.get(address)
        assert drawing.headers["Content-Disposition"].startswith("inline")
        assert "default-src 'none'" in drawing.headers["Content-Security-Policy"]
        assert b"<script>" not in drawing.content


def test_an_unknown_document_is_not_found(project, reader, client):
    assert client.get(url("document-download", machine_of(project), "secrets")).status_code == 404


def test_lists_say_when_another_engine_counted_and_count_again_on_opening(project, reader, client):
    machine = machine_of(project)
    Machine.objects.update(counted_by="0.0.1+old")
    listed = client.get(reverse("projects:project-show", args=[project.pk]))
    assert "worked out when opened" in str(listed.context["machines"].rows[0].cells)
    client.get(url("machine-show", machine))
    machine.refresh_from_db()
    assert machine.counted_by == engine_digest()
    assert machine.version == 1


def test_lists_cost_the_same_queries_however_many_machines(
    project, reader, client, django_assert_num_queries
):
    page = reverse("projects:project-show", args=[project.pk])
    for number in range(3):
        machine_of(project, tag=f"K-{number}")
    with django_assert_num_queries(8):
        client.get(page)
    with django_assert_num_queries(4):
        client.get(reverse("projects:project-list"))


def test_a_description_that_newer_rules_refuse_is_shown_with_its_problems(project, reader, client):
    machine = machine_of(project)
    Machine.objects.update(description={"tag": "K-1", "stage_count": 99})
    for page in (
        url("machine-show", machine),
        url("point-show", machine, "P1/phase"),
        url("document-list", machine),
        url("document-download", machine, "datasheet"),
    ):
        response = client.get(page)
        assert response.status_code == 409
        assert "stage_count" in {problem.path for problem in response.context["problems"]}
    assert client.get(reverse("projects:project-show", args=[project.pk])).status_code == 200


def test_pages_are_kept_by_no_shared_cache_and_answer_head(project, reader, client):
    machine = machine_of(project)
    response = client.head(url("machine-show", machine))
    assert response.status_code == 200
    assert response.headers["Cache-Control"] == "private, no-cache"


def test_the_heading_leads_to_every_page_of_the_machine_and_marks_this_one(client, project, reader):
    machine = machine_of(project, author=reader)
    page = client.get(url("override-list", machine)).content.decode()
    pages = page.partition('<nav class="machine-pages"')[2].partition("</nav>")[0]
    assert '<strong aria-current="page">Overrides</strong>' in pages
    for name in ("machine-show", "drawing-list", "document-list", "setpoint-value-list"):
        assert f'href="{url(name, machine)}"' in pages
    assert url("machine-edit", machine) not in pages
