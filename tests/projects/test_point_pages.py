"""The sheet of a point: worked out, with its chain, sketch, history and one sentence to copy."""

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set
from specapp.projects.presenting.point_sheet import point_sheet
from tests.documents.reading import pdf
from tests.factories import NOW, ProjectFactory, machine_of, member

pytestmark = pytest.mark.django_db
RADIAL = "P1/P1-1/radial/Y"


@pytest.fixture
def engineer(client):
    project = ProjectFactory()
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    person.project = project
    return person


def sheet_of(client, machine, key=RADIAL):
    return client.get(reverse("projects:point-show", args=[machine.project_id, machine.pk, key]))


def test_the_calculation_is_written_out_with_its_numbers(client, engineer):
    page = sheet_of(client, machine_of(engineer.project, name="contract_example")).content.decode()
    assert "1.5 × A" in page
    assert "1.5 × 20.62" in page
    assert "30.94 µm p-p" in page
    assert "rounded down to 25 µm" in page


def test_the_sentence_names_value_criterion_numbers_source_status_and_revision(client, engineer):
    machine = machine_of(engineer.project, name="contract_example")
    alarm, trip = sheet_of(client, machine).context["working"].reasoning.split("\n")
    assert trip == (
        "VE-4410-P11Y, trip 37 µm p-p: governed by the multiple of the acceptance limit"
        " (radial.trip_multiple), 1.8 × A = 1.8 × 20.62 = 37.12 µm p-p, rounded down; common practice,"
        " project criteria, first issue; rule SET-RAD-010; proposed;"
        " working, v1."
    )
    assert "alarm 25 µm p-p: governed by the baseline measured on test (radial.baseline)" in alarm


def test_the_chain_runs_from_tip_to_relay_and_the_sketch_is_drawn(client, engineer):
    response = sheet_of(client, machine_of(engineer.project, name="contract_example"))
    working = response.context["working"]
    assert "proximity probe" in working.chain[0]
    assert working.chain[-1].startswith("relays: ")
    assert "trip radial, R-1" in working.chain[-1]
    assert next(picture.scene.name for picture in working.pictures) == "probe-P1/P1-1/radial"
    assert response.content.decode().count("<svg") == 2


def test_a_point_without_setpoints_says_why_it_is_there(client, engineer):
    working = sheet_of(client, machine_of(engineer.project, name="contract_example"), "BG/phase").context[
        "working"
    ]
    assert "no alarm and no trip" in working.reasoning


def test_history_names_the_machine_and_the_overrides_of_this_point_alone(client, engineer):
    machine = machine_of(engineer.project, author=engineer, name="contract_example")
    for item in ("P1/P1-1/radial", "P2/P2-1/radial"):
        override_set(
            machine=machine,
            expected_version=machine.version,
            item=item,
            field="trip",
            value=36,
            reason=f"maker's wish for {item}",
            author=engineer,
            now=NOW,
        )
        machine.refresh_from_db()
    told = [event.what for event in sheet_of(client, machine).context["history"]]
    assert len(told) == 2
    assert "set the trip to 36" in told[0]
    assert "maker's wish for P1/P1-1/radial" in told[0]
    assert told[1] == "described the machine"


@pytest.mark.parametrize("sample", ["minimal_packaged", "turbine_driven_hydrogen", "us_units_process"])
def test_every_point_has_a_sheet(sample, client, engineer):
    machine = machine_of(engineer.project, name=sample)
    for point in machine_proposal(machine).points:
        assert sheet_of(client, machine, point.key).status_code == 200


def test_the_hand_sheet_of_one_point_leaves_the_others_out(client, engineer):
    machine = machine_of(engineer.project)
    address = reverse("projects:document-download", args=[engineer.project.pk, machine.pk, "hand_sheets"])
    one, every = client.get(address, {"point": RADIAL}), client.get(address)
    assert len(pdf(one.content).pages) < len(pdf(every.content).pages)
    assert "P1-P1-1-radial-Y" in one.headers["Content-Disposition"]
    assert client.get(address, {"point": "P9/none"}).status_code == 404


def test_only_what_a_proximity_probe_feels_is_checked_on_its_sheet(engineer):
    """Runout and target material are of the track under a probe: no temperature or speed sensor sees them."""
    proposal = machine_proposal(machine_of(engineer.project, name="ten_stage"))
    told = {}
    for point in proposal.points:
        sheet = point_sheet(proposal, point.key, None)
        told.setdefault(point.transducer.type, set()).update(check.check for check in sheet.checks)
    assert "probe.runout" in told.pop("proximity_probe")
    assert set(told) == {"resistance_thermometer", "high_frequency_accelerometer", "speed_sensor"}
    for names in told.values():
        assert not [name for name in names if name.startswith(("probe.", "radial."))]
