"""Trip functions of whole proposals: which there are, what they claim, what is counted, what is checked."""

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specapp.domain.overrides import Override
from specapp.domain.problems import InputErrors
from specapp.domain.proposal import proposal_json
from specapp.kernel.functional_safety import pfd_avg
from specapp.rulebook import reliability_working as stored
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.reliability import function_result
from tests.documents.sample import NAMES, proposal
from tests.rulebook.failure_samples import TOLD_SAFETY, told_devices
from tests.rulebook.generated import machines
from tests.rulebook.proposed import MINIMAL, checks, proposed

A_LEVEL = re.compile(r"\bSIL\s*[1-4]\b")
TURBINE = {"kind": "steam_turbine", "power": "3 MW", "speed": "1490 rpm"}
MOTOR = {"kind": "induction_motor", "power": "3 MW", "bearings": "sleeve"}


def functions(document):
    return {each["key"]: each for each in document["safety_functions"]}


def told(**facts):
    """Return the proposal of a motor-driven machine with every device told."""
    safety = {**TOLD_SAFETY, **facts.pop("safety", {})}
    return proposed(**{"driver": MOTOR, "devices": told_devices(), "safety": safety, **facts})


def part(function, device):
    return next(each for each in function["parts"] if each["device"] == device)


# Which functions there are


@pytest.mark.parametrize("name", NAMES)
def test_every_trip_is_a_function_and_every_function_a_trip(name):
    document = proposal_json(proposal(name))
    trips = {row["cause"] for row in document["cause_and_effect"] if row["level"] == "trip"}
    assert trips == set(functions(document))
    voting = {row["cause"]: row["voting"] for row in document["cause_and_effect"] if row["level"] == "trip"}
    for function in document["safety_functions"]:
        assert function["voting"] == voting[function["key"]]
        assert function["points"] == next(
            row["points"]
            for row in document["cause_and_effect"]
            if (row["cause"], row["level"]) == (function["key"], "trip")
        )


@pytest.mark.parametrize("name", NAMES)
def test_parts_add_up_and_name_their_standing(name):
    for function in proposal_json(proposal(name))["safety_functions"]:
        assert sum(each["pfd_avg"] for each in function["parts"]) == pytest.approx(function["pfd_avg"])
        assert sum(each["share"] for each in function["parts"]) == pytest.approx(1)
        assert sum(each["pfd_avg"] for each in function["stages"]) == pytest.approx(function["pfd_avg"])
        assert function["governs"].count("→") == len(function["parts"]) - 1
        assert all(each["status"] in ("told", "placeholder") and each["source"] for each in function["parts"])


@pytest.mark.parametrize("name", NAMES)
def test_a_stored_function_gives_its_calculation_back(name):
    for function in json.loads(json.dumps(proposal_json(proposal(name))["safety_functions"])):
        again = function_result(stored.stages_of(function), stored.tests_of(function))
        assert again.pfd == function["pfd_avg"]
        assert again.spurious_per_year == function["spurious_trips_per_year"]


def test_the_way_of_each_chain_ends_in_what_stops_the_machine():
    electric = functions(told())
    assert [each["device"] for each in electric["P1/P1-1/radial"]["parts"]] == [
        "probe", "oscillator_demodulator", "monitor_module", "relay", "shutdown_logic", "driver_breaker",
    ]  # fmt: skip
    winding = [each["device"] for each in electric["M/winding"]["parts"]]
    assert winding == ["resistance_thermometer", "motor_relay", "driver_breaker"]
    steam = functions(proposed(driver=TURBINE))
    assert [each["device"] for each in steam["M/overspeed"]["parts"]] == [
        "speed_sensor", "overspeed_logic", "relay", "trip_valve",
    ]  # fmt: skip
    assert part(steam["M/overspeed"], "speed_sensor")["count"] == 3
    loop = functions(proposed(service_class="packaged_air"))
    assert [each["device"] for each in loop["P1/P1-1/radial/Y"]["parts"]] == [
        "probe", "transmitter", "control_system", "shutdown_logic", "driver_breaker",
    ]  # fmt: skip


def test_intrinsic_safety_puts_an_isolator_into_every_leg():
    area = {"zone": 1, "gas_group": "IIB", "temperature_class": "T3"}
    function = functions(proposed(hazardous_area=area))["P1/P1-1/radial"]
    assert part(function, "isolator")["count"] == 2


def test_an_expander_has_to_be_shut_off_too():
    pinion = {"speed": "18200 rpm", "stages": [1, 2], "expander_stages": [2]}
    found = functions(proposed(pinions=[pinion], driver=MOTOR))
    ends = [each["device"] for each in found["P1/P1-1/radial"]["parts"]][-2:]
    assert ends == ["driver_breaker", "trip_valve"]
    assert found["P1/overspeed"]["findings"]["common"][-1] == "expander trip valve"
    assert "driver_breaker" not in [each["device"] for each in found["P1/overspeed"]["parts"]]


# Placeholders claim nothing


@pytest.mark.parametrize("name", NAMES)
def test_placeholder_data_never_give_a_level(name):
    for function in proposal_json(proposal(name))["safety_functions"]:
        assert function["basis"] == "placeholder"
        assert function["level_claimed"] is None is function["levels"] is function["meets_target"]
        assert function["statement"].startswith("not claimed: placeholder failure data (")
        assert not A_LEVEL.search(json.dumps(function))


@settings(max_examples=15, deadline=None)
@given(machines())
def test_no_generated_machine_gets_a_level_without_data(machine):
    for function in propose_document(machine).safety_functions:
        assert function["level_claimed"] is None
        assert not A_LEVEL.search(json.dumps(function, default=str))


@pytest.mark.parametrize("device", ["probe", "monitor_module", "relay", "shutdown_logic", "driver_breaker"])
def test_one_placeholder_on_the_way_is_enough_to_claim_nothing(device):
    function = functions(told(devices=told_devices(**{device: None})))["P1/P1-1/radial"]
    assert function["level_claimed"] is None
    assert function["placeholders"] == [device]
    assert part(function, device)["status"] == "placeholder"


@pytest.mark.parametrize(
    ("missing", "says"),
    [
        ("proof_test_interval", "no proof-test interval told"),
        ("proof_test_coverage", "no proof-test coverage told"),
    ],
)
def test_nothing_is_claimed_on_a_test_that_nobody_told(missing, says):
    safety = {key: value for key, value in TOLD_SAFETY.items() if key != missing}
    document = proposed(driver=MOTOR, devices=told_devices(), safety=safety)
    function = functions(document)["P1/P1-1/radial"]
    assert function["statement"] == f"not claimed: {says}"
    assert function["pfd_avg"] > 0
    assert checks(document, "safety.target")["machine"]["needs"] == f"safety.{missing}"


def test_what_a_partial_test_leaves_needs_a_test_of_its_own_to_claim():
    partial = functions(told(safety={"proof_test_coverage": 0.9}))["P1/P1-1/radial"]
    assert partial["statement"] == "not claimed: no full-test interval told"
    full = functions(told(safety={"proof_test_coverage": 0.9, "full_test_interval": "8 year"}))
    assert full["P1/P1-1/radial"]["level_claimed"] == 2
    assert partial["pfd_avg"] > full["P1/P1-1/radial"]["pfd_avg"]


@pytest.mark.parametrize("lacking", ["dangerous_detected_per_h", "safe_undetected_per_h", "component_type"])
def test_data_told_in_part_do_not_count_and_what_is_missing_is_named(lacking):
    devices = told_devices()
    del devices["relay"][lacking]
    document = told(devices=devices)
    assert functions(document)["P1/P1-1/radial"]["placeholders"] == ["relay"]
    point = next(each for each in document["open_points"] if each["key"] == "safety/reliability")
    assert point["needs"] == f"devices.relay.{lacking}"


# Claims and verdicts


def test_told_data_claim_the_lowest_of_the_levels():
    document = told()
    function = functions(document)["P1/P1-1/radial"]
    assert function["basis"] == "told"
    assert function["level_claimed"] == 2
    assert function["levels"]["by_pfd"] == 2
    assert function["levels"]["by_fault_tolerance"] == 2
    assert function["meets_target"] is True
    assert function["limit_pfd"] == pytest.approx(1e-2)
    assert checks(document, "safety.target")["P1/P1-1/radial"]["result"] == "pass"
    assert checks(document, "safety.architecture")["P1/P1-1/radial"]["result"] == "pass"
    assert "safety/reliability" not in {each["key"] for each in document["open_points"]}


def test_a_target_above_the_claim_fails_and_says_where_to_begin():
    document = told(safety={"sil_target": 3})
    function = functions(document)["P1/P1-1/radial"]
    assert function["meets_target"] is False
    target = checks(document, "safety.target")["P1/P1-1/radial"]
    assert target["result"] == "fail"
    assert target["measured"]["value"] == function["pfd_avg"] >= target["limit"]["value"]
    assert target["remedies"]
    assert checks(document, "safety.architecture")["P1/P1-1/radial"]["result"] == "fail"


def test_without_a_target_there_is_no_verdict():
    safety = {key: value for key, value in TOLD_SAFETY.items() if key != "sil_target"}
    document = proposed(driver=MOTOR, devices=told_devices(), safety=safety)
    function = functions(document)["P1/P1-1/radial"]
    assert function["target"] is None is function["meets_target"] is function["limit_pfd"]
    assert stored.interval_for_target(function) is None
    assert list(checks(document, "safety.target")) == ["machine"]
    assert checks(document, "safety.target")["machine"]["result"] == "not_evaluated"
    assert not checks(document, "safety.architecture")


def test_a_trip_in_the_control_system_claims_no_level():
    document = told(service_class="packaged_air", driver=None)
    function = functions(document)["P1/P1-1/radial/Y"]
    assert function["levels"]["by_pfd"] >= 1
    assert function["level_claimed"] == 0
    assert "no SIL" in function["statement"]
    assert checks(document, "safety.architecture")["P1/P1-1/radial/Y"]["result"] == "fail"


# X and Y are components


def test_an_xy_pair_is_no_redundancy_unless_that_is_recorded():
    plain = functions(told())["P1/P1-1/radial"]
    assert plain["voting"] == "1oo2"
    assert plain["credited_voting"] == "1oo1"
    assert plain["stages"][0]["hardware_fault_tolerance"] == 0
    assert "components" in plain["not_copies_because"]
    justified = functions(told(safety={"xy_redundancy_justification": "Invented: rotor model, rev. 2."}))
    pair = justified["P1/P1-1/radial"]
    assert pair["credited_voting"] == "1oo2"
    assert pair["stages"][0]["hardware_fault_tolerance"] == 1
    assert pair["not_copies_because"] == ""
    assert pair["pfd_avg"] < plain["pfd_avg"]


@pytest.mark.parametrize("voting", ["1oo1", "1oo2", "2oo2", "trip_with_alarm"])
def test_the_vote_decided_is_recorded_and_compared(voting):
    function = functions(told(safety={"radial_trip_voting": voting}))["P1/P1-1/radial"]
    assert function["decision"]["value"] == voting
    assert "decided" in function["decision"]["text"]
    in_force = [line for line in function["voting_comparison"] if line["in_force"]]
    assert [line["voting"] for line in in_force] == [voting]
    assert in_force[0]["function_pfd_avg"] == pytest.approx(function["pfd_avg"])
    assert in_force[0]["function_spurious_trips_per_year"] == pytest.approx(
        function["spurious_trips_per_year"]
    )


def test_an_undecided_vote_says_that_it_is_open():
    decision = functions(proposed())["P1/P1-1/radial"]["decision"]
    assert decision["value"] is None
    assert decision["text"] == "1oo2, open: in force until the purchaser decides"


def test_the_sensor_stage_is_the_formula_of_the_kernel():
    function = functions(told(safety={"xy_redundancy_justification": "Invented."}))["P1/P1-1/radial"]
    # Probe and oscillator-demodulator of one leg in series; the module is shared and stands apart.
    assert function["stages"][0]["pfd_avg"] == pytest.approx(
        pfd_avg(
            "1oo2",
            dangerous_undetected_per_h=2 * 5e-8,
            dangerous_detected_per_h=2 * 2e-7,
            beta=0.05,
            beta_detected=0.02,
            proof_test_interval_h=8760.0,
        )
    )


def test_two_of_two_has_no_fault_tolerance():
    axial = functions(told())["BG/axial"]
    assert axial["voting"] == "2oo2"
    assert axial["stages"][0]["hardware_fault_tolerance"] == 0
    assert axial["levels"]["by_fault_tolerance"] == 2


# Shared modules, bypass, network, validity


def test_redundant_legs_on_one_module_are_a_caution():
    assert checks(told(), "safety.shared_module")["machine"]["result"] == "pass"
    justified = told(safety={"xy_redundancy_justification": "Invented."})
    found = checks(justified, "safety.shared_module")["machine"]
    assert found["result"] == "caution"
    assert found["measured"]["value"] >= 2
    assert "P1/P1-1/radial" in found["text"]
    function = functions(justified)["P1/P1-1/radial"]
    assert len(function["findings"]["shared"]) == 1
    assert part(function, "monitor_module")["count"] == 1


def test_the_legs_of_an_axial_vote_stand_on_modules_of_their_own():
    axial = functions(told())["BG/axial"]
    assert axial["findings"]["shared"] == []
    assert part(axial, "monitor_module")["count"] == 2


def test_bypass_and_faults_are_flagged_by_group():
    text = checks(told(), "safety.bypass")["machine"]["text"]
    assert "BG/axial: trips by bypass alone" in text
    assert "M1/radial" in text
    assert "faults in all legs" in text
    single = checks(proposed(service_class="packaged_air"), "safety.bypass")["machine"]["text"]
    assert "P1/P1-2/radial/Y: one fault, or one bypass, loses the trip." in single


def test_sensors_that_trip_alone_are_named():
    found = functions(told())
    assert found["P1/P1-1/radial"]["findings"]["trips_alone"] == ["P1/P1-1/radial/Y", "P1/P1-1/radial/X"]
    assert found["BG/axial"]["findings"]["trips_alone"] == []


@pytest.mark.parametrize("name", NAMES)
def test_no_trip_of_ours_passes_a_network(name):
    assert checks(proposal_json(proposal(name)), "safety.network")["machine"]["result"] == "pass"


@pytest.mark.parametrize(
    ("rate", "state", "result"),
    [(1e-7, "valid", "pass"), (2e-5, "doubtful", "caution"), (4e-3, "refused", "fail")],
)
def test_a_formula_past_its_limits_is_warned_of_or_refused(rate, state, result):
    devices = told_devices(driver_breaker={"dangerous_undetected_per_h": rate})
    document = told(devices=devices)
    function = functions(document)["P1/P1-1/radial"]
    assert function["validity"]["state"] == state
    assert (function["pfd_avg"] is None) == (state == "refused")
    assert checks(document, "safety.validity")["machine"]["result"] == result
    if state == "refused":
        assert function["statement"].startswith("refused:")
        assert function["level_claimed"] is None


# Inputs


@settings(max_examples=15, deadline=None)
@given(st.floats(1.0, 20.0), st.floats(1.0, 4.0))
def test_rarer_tests_and_worse_devices_never_help_a_machine(years, times):
    base = functions(told())
    rarer = functions(told(safety={"proof_test_interval": f"{years} year"}))
    worse = functions(told(devices=told_devices(relay={"dangerous_undetected_per_h": 5e-8 * times})))
    for key, function in base.items():
        assert rarer[key]["pfd_avg"] >= function["pfd_avg"] * (1 - 1e-9)
        assert worse[key]["pfd_avg"] >= function["pfd_avg"] * (1 - 1e-9)


def test_the_factor_of_the_vote_is_a_criterion():
    switched = {"safety.beta_by_vote": {"value": 1, "reason": "owner's practice"}}
    devices = told_devices()
    base = functions(proposed(driver=TURBINE, devices=devices, safety=TOLD_SAFETY))["M/overspeed"]
    found = functions(proposed(driver=TURBINE, devices=devices, safety=TOLD_SAFETY, criteria=switched))
    assert found["M/overspeed"]["beta_by_vote"]
    assert 1.4 < found["M/overspeed"]["stages"][0]["pfd_avg"] / base["stages"][0]["pfd_avg"] < 1.5


def test_the_interval_for_the_target_is_solved_for():
    function = functions(told())["P1/P1-1/radial"]
    search = stored.interval_for_target(function)
    years = search.interval_h / 8760
    longer = functions(told(safety={"proof_test_interval": f"{years * 1.001} year"}))["P1/P1-1/radial"]
    shorter = functions(told(safety={"proof_test_interval": f"{years * 0.999} year"}))["P1/P1-1/radial"]
    assert shorter["pfd_avg"] < search.limit_pfd < longer["pfd_avg"]


@pytest.mark.parametrize(
    ("facts", "path"),
    [
        ({"safety": {"proof_test_coverage": 1.01}}, "safety.proof_test_coverage"),
        ({"safety": {"proof_test_coverage": -0.1}}, "safety.proof_test_coverage"),
        (
            {"safety": {"proof_test_interval": "2 year", "full_test_interval": "1 year"}},
            "safety.full_test_interval",
        ),
        ({"safety": {"sil_target": 5}}, "safety.sil_target"),
        ({"safety": {"radial_trip_voting": "1oo2D"}}, "safety.radial_trip_voting"),
        (
            {"devices": {"probe": {"dangerous_undetected_per_h": -1e-9}}},
            'devices["probe"].dangerous_undetected_per_h',
        ),
        ({"devices": {"probe": {"beta": 1.1}}}, 'devices["probe"].beta'),
        ({"devices": {"probe": {"dangerous_detected_per_h": 1e-7}}}, 'devices["probe"].failure_data_source'),
    ],
)
def test_bad_input_is_an_error_at_its_field(facts, path):
    with pytest.raises(InputErrors) as caught:
        propose_document({**MINIMAL, **facts})
    assert [problem.path for problem in caught.value.problems] == [path]


def _overridden(voting):
    override = Override("P1/P1-1/radial", "voting", voting, "a reason", "A. Example", "2026-01-15T09:00:00Z")
    machine = {**MINIMAL, "safety": TOLD_SAFETY, "devices": told_devices()}
    proposal = propose_document(machine, overrides=[override])
    return next(each for each in proposal.safety_functions if each["key"] == "P1/P1-1/radial")


def test_a_vote_of_more_sensors_than_the_group_has_is_not_calculated():
    function = _overridden("2oo3")
    assert function["statement"] == "not calculated: 2oo3 needs 3 sensors, the group has 2"
    assert (function["pfd_avg"], function["level_claimed"]) == (None, None)


def test_a_vote_set_on_one_group_is_no_decision_of_the_purchaser():
    assert _overridden("2oo2")["decision"]["text"] == (
        "2oo2, set on this group by an override; the purchaser decided 1oo2"
    )
