"""The drawings in the page: every point in them leads to its sheet, and a table says the same."""

import re

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.presenting.drawings import KINDS, drawing, links_of
from tests.factories import ProjectFactory, machine_of, member

pytestmark = pytest.mark.django_db
SAMPLES = ("minimal_packaged", "contract_example", "ten_stage", "turbine_driven_hydrogen", "us_units_process")


@pytest.fixture
def project(client):
    project = ProjectFactory()
    client.force_login(member(project, Role.READER))
    return project


def page_of(client, project, machine, query=""):
    return client.get(reverse("projects:drawing-list", args=[project.pk, machine.pk]) + query)


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("kind", [*KINDS, "all"])
def test_every_drawing_of_every_kind_of_machine(kind, sample, client, project):
    response = page_of(client, project, machine_of(project, name=sample), f"?show={kind}")
    page = response.content.decode()
    assert response.status_code == 200
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert page.count("<svg") == page.count("The same as a table")


@pytest.mark.parametrize("sample", SAMPLES)
def test_each_point_is_a_link_in_the_general_arrangement_and_in_its_table(sample, client, project):
    machine = machine_of(project, name=sample)
    proposal = machine_proposal(machine)
    links = links_of(proposal, "/points/", "/drawings/")
    html = drawing(proposal, "arrangement", "/points/", "/drawings/").pictures[0].html
    svg, table = html.split("</svg>")
    for point in proposal.points:
        address = links.address(point.key)
        assert address == f"/points/{point.key}/"
        assert f'href="{address}"' in svg
        assert f'href="{address}"' in table


def test_a_group_leads_to_its_first_point_and_a_chain_to_its_own_drawing(project):
    proposal = machine_proposal(machine_of(project, name="contract_example"))
    links = links_of(proposal, "/p/", "/d/")
    assert links.address("P1/P1-1/radial") == "/p/P1/P1-1/radial/Y/"
    chain = "chain/monitor/proximity_probe/radial_vibration"
    assert links.address(chain) == f"/d/?show=chain&chain={chain}"
    assert links.address("R-1/alarm") is None


def test_one_shaft_at_a_time(client, project):
    machine = machine_of(project, name="contract_example")
    page = page_of(client, project, machine, "?show=setpoints&shaft=P2").content.decode()
    assert '<option value="P2" selected>' in page
    assert 'id="setpoints-P2"' in page
    assert 'id="setpoints-P1"' not in page


def test_one_chain_names_its_points(client, project):
    machine = machine_of(project, name="contract_example")
    chain = "chain/direct/resistance_thermometer/winding_temperature"
    page = page_of(client, project, machine, f"?show=chain&chain={chain}").content.decode()
    assert page.count("<svg") == 1
    assert "points/M/winding/6/" in page


@pytest.mark.parametrize(
    "query", ["?show=radar", "?shaft=P9", "?show=trips&shaft=BG2", "?show=chain&chain=x"]
)
def test_what_is_not_drawn_is_not_found(query, client, project):
    assert page_of(client, project, machine_of(project), query).status_code == 404


def test_hostile_text_stays_text(client, project):
    machine = machine_of(project, name="minimal_packaged", title="<script>alert(1)</script>")
    for kind in KINDS:
        page = page_of(client, project, machine, f"?show={kind}").content.decode()
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page
