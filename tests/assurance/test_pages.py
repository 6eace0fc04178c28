"""Pages of trips, loops, intrinsic safety and area; the vote decided; a marking held against an area."""

import re

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.rulebook.failure_samples import TOLD_SAFETY, told_devices

pytestmark = pytest.mark.django_db
LEVEL = re.compile(r"SIL \d")


@pytest.fixture
def engineer(client):
    project = ProjectFactory()
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    person.project = project
    return person


def path(machine, name, *more):
    return reverse(f"assurance:{name}", args=[machine.project_id, machine.pk, *more])


def text_of(response):
    main = response.content.decode().partition("<main")[2].partition("</main>")[0]
    return " ".join(strip_tags(main.replace("<", " <")).split())


def told_machine(engineer, **changed):
    facts = {"safety": TOLD_SAFETY, "devices": told_devices(), **changed}
    return machine_of(engineer.project, author=engineer, name="contract_example", **facts)


# Trips


def test_no_level_is_printed_from_placeholder_data(client, engineer):
    machine = machine_of(engineer.project, author=engineer, name="minimal_process")
    for address in (path(machine, "function-list"), path(machine, "function-show", "P1/P1-1/radial")):
        text = text_of(client.get(address))
        assert "not claimed" in text
        assert "◐" in text
        assert not LEVEL.search(text)
    assert "8760 h (T1) assumed" in text_of(client.get(path(machine, "function-list")))


def test_told_data_claim_a_level_against_the_target(client, engineer):
    machine = told_machine(engineer)
    assert "SIL 2: ● pass" in text_of(client.get(path(machine, "function-list")))
    text = text_of(client.get(path(machine, "function-show", "BG/axial")))
    for said in (
        "What would turn it",
        "The longest interval below 1.00E−02 is",
        "by fault tolerance, IEC 61511-1",
        "trips at once",
        "none: hard-wired all the way",
        "every tip reaches what stops the machine",
        "SAF-FUN-010",
    ):
        assert said in text


def test_a_vote_that_cannot_be_built_is_told_not_calculated(client, engineer):
    machine = told_machine(engineer)
    override_set(
        machine=machine,
        expected_version=machine.version,
        item="P1/P1-1/radial",
        field="voting",
        value="2oo3",
        reason="a test",
        author=engineer,
        now=NOW,
    )
    said = "ot calculated: 2oo3 needs 3 sensors, the group has 2"
    assert said in text_of(client.get(path(machine, "function-list")))
    assert said in text_of(client.get(path(machine, "function-show", "P1/P1-1/radial")))
    assert client.get(path(machine, "voting-decide")).status_code == 200


def test_a_trip_that_is_none_is_not_found(client, engineer):
    machine = machine_of(engineer.project, author=engineer, name="minimal_process")
    assert client.get(path(machine, "function-show", "P9/radial")).status_code == 404


def test_a_machine_without_radial_trips_has_nothing_to_decide(client, engineer):
    machine = machine_of(engineer.project, author=engineer, name="minimal_packaged", criticality="general")
    response = client.get(path(machine, "voting-decide"))
    assert response.status_code == 200


# The vote

DECISION = {
    "voting": "2oo2",
    "reason": "A false trip costs a day.",
    "decided_by": "P. Purchaser",
    "dated": "2026-03-02",
}


def test_the_decision_is_recorded_with_reason_person_and_date(client, engineer):
    machine = told_machine(engineer)
    response = client.post(path(machine, "voting-decide"), {**DECISION, "version": machine.version})
    assert response.status_code == 302
    machine.refresh_from_db()
    (function,) = [
        each for each in machine_proposal(machine).safety_functions if each["key"] == "P1/P1-1/radial"
    ]
    assert (function["voting"], function["decision"]["value"]) == ("2oo2", "2oo2")
    assert function["decision"]["reason"] == DECISION["reason"]
    source = machine.description["sources"]["safety.radial_trip_voting"]
    assert (source["document"], source["revision"]) == ("Decision of P. Purchaser", "2026-03-02")
    entry = AuditEntry.objects.filter(action="machine.update").latest("pk")
    assert entry.data["is"]["safety"]["radial_trip_voting_reason"] == DECISION["reason"]
    assert "Reason: A false trip costs a day." in text_of(client.get(path(machine, "voting-decide")))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"reason": ""}, "Found nothing; allowed: a text"),
        ({"voting": "2oo3"}, "2oo3"),
        ({"dated": "03/04/2026"}, "2026-03-31"),
        ({"decided_by": "x" * 81}, "80"),
    ],
)
def test_a_decision_that_cannot_be_is_told(client, engineer, changed, said):
    machine = told_machine(engineer)
    response = client.post(
        path(machine, "voting-decide"), {**DECISION, "version": machine.version, **changed}
    )
    assert response.status_code == 422
    assert said in text_of(response)


def test_a_decision_over_another_change_is_asked_again(client, engineer):
    machine = told_machine(engineer)
    response = client.post(path(machine, "voting-decide"), {**DECISION, "version": machine.version + 1})
    assert response.status_code == 409
    assert DECISION["reason"] in text_of(response)
    machine.refresh_from_db()
    assert machine.description["safety"]["radial_trip_voting"] == "1oo2"


# Loops


def test_loops_and_entities_of_told_devices(client, engineer):
    devices = told_devices()
    devices["oscillator_demodulator"] |= {
        "ui_v": 28,
        "ii_ma": 140,
        "pi_w": 0.84,
        "ci_nf": 5,
        "li_uh": 10,
        "current_ma": 10,
        "minimum_voltage_v": 17.5,
    }
    devices["isolator"] |= {
        "uo_v": 28,
        "io_ma": 93,
        "po_w": 0.65,
        "co_nf": 83,
        "lo_mh": 4.2,
        "supply_minimum_v": 23,
    }
    area = {"zone": 1, "gas_group": "IIC", "temperature_class": "T4"}
    machine = told_machine(engineer, devices=devices, hazardous_area=area)
    text = text_of(client.get(path(machine, "loop-list")))
    for said in ("19.53 V ● enough", "Intrinsic safety 390", "AWG 18 0.823", "Shields are earthed once"):
        assert said in text
    text = text_of(client.get(path(machine, "entity-list")))
    assert "Longest cable 390 m, governed by capacitance" in text
    assert "● fits" in text


def test_placeholders_never_fit(client, engineer):
    area = {"zone": 1, "gas_group": "IIC", "temperature_class": "T4"}
    machine = machine_of(engineer.project, author=engineer, name="minimal_process", hazardous_area=area)
    text = text_of(client.get(path(machine, "entity-list")))
    assert "◐ placeholder" in text
    assert "● fits" not in text


# The area


def marked(client, machine, **asked):
    facts = {
        "area": "zone 1",
        "group": "",
        "gas": "hydrogen",
        "temperature_class": "",
        "coldest": "",
        "hottest": "",
    }
    return client.get(path(machine, "area-show"), {**facts, **asked})


@pytest.fixture
def machine(engineer):
    return machine_of(engineer.project, author=engineer, name="minimal_process")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"marking": "Ex ia IIC T4 Ga"}, "● Suits the area"),
        ({"marking": "Ex db IIB T4 Gb"}, "Group IIB is marked; IIC is needed."),
        ({"marking": "Ex ec IIC T3 Gc"}, "Level Gc is marked; Gb is needed."),
        ({"marking": "Ex ia IIC T4 Ga", "hottest": "48"}, "the site has 48"),
        ({"marking": "Ex ia IIC T4 Ga X"}, "X marks special conditions"),
        ({"marking": "excellent"}, "what is not understood is never suitable"),
        ({"marking": "Ex ia IIC T3 Ga", "gas": "diethyl ether"}, "▬ Not suitable"),
        ({"marking": "Class I, Division 2, Groups B, C, D, T4", "area": "Division 2"}, "● Suits the area"),
    ],
)
def test_a_marking_gets_every_reason(client, machine, asked, said):
    response = marked(client, machine, **asked)
    assert response.status_code == 200
    assert said in text_of(response)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"marking": ""}, "Found nothing; allowed: a text"),
        ({"marking": "Ex ia IIC T4 Ga", "gas": "hydrogn"}, "did you mean"),
        ({"marking": "Ex ia IIC T4 Ga", "gas": "nitrogen"}, "None of these gases burns"),
        ({"marking": "Ex ia IIC T4 Ga", "gas": ""}, "a group, or gases that give it"),
        ({"marking": "Ex ia IIC T4 Ga", "coldest": "-300"}, "-100"),
        ({"marking": "Ex ia IIC T4 Ga", "coldest": "50", "hottest": "40"}, "at most the highest"),
        ({"marking": "Ex ia IIC T4 Ga", "group": "B", "gas": ""}, "IIA to IIC with a zone"),
        ({"marking": "Ex ia IIC T4 Ga", "temperature_class": "T2A"}, "T1 to T6 with a zone"),
        ({"marking": "Ex ia IIC T4 Ga", "area": "zone 7"}, "zone 7"),
    ],
)
def test_an_area_that_cannot_be_is_told(client, machine, asked, said):
    response = marked(client, machine, **asked)
    assert response.status_code == 422
    assert said in text_of(response)


def test_a_hostile_marking_is_shown_as_text(client, machine):
    response = marked(client, machine, marking="<script>alert(1)</script>")
    assert b"<script>alert" not in response.content


def test_gases_stand_in_both_data_sets(client, engineer):
    area = {"zone": 2, "area_gases": ["n-butane", "hydrogen"]}
    machine = machine_of(engineer.project, author=engineer, name="minimal_process", hazardous_area=area)
    text = text_of(client.get(path(machine, "area-show")))
    assert "Group IIC, by hydrogen." in text
    assert "Class T3, by n-butane at 288 °C (NFPA). By IEC alone it would be T2" in text
    assert "106-97-8" in text


def test_ignition_temperatures_are_shown_in_the_readers_units(client, engineer):
    area = {"zone": 2, "area_gases": ["n-butane", "hydrogen"]}
    machine = machine_of(engineer.project, author=engineer, name="minimal_process", hazardous_area=area)
    text = text_of(client.get(path(machine, "area-show") + "?units=us"))
    assert "Ignition, IEC, °F" in text
    assert "by n-butane at 550 °F (NFPA)" in text  # 288 °C * 9/5 + 32 = 550.4 °F
    assert "by n-butane at 288 °C (NFPA)" in text_of(client.get(path(machine, "area-show") + "?units=si"))


@pytest.mark.parametrize("name", ["function-list", "voting-decide", "loop-list", "entity-list"])
def test_pages_that_convert_nothing_offer_no_switch_of_units(client, engineer, name):
    machine = machine_of(engineer.project, author=engineer, name="minimal_process")
    assert 'aria-label="Shown in"' not in client.get(path(machine, name)).content.decode()
    assert 'aria-label="Shown in"' in client.get(path(machine, "area-show")).content.decode()
