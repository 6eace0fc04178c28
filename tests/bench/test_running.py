"""The page of functions by scenarios: verdicts, margins that turn, mends, delays, the same bytes again."""

from dataclasses import replace

import pytest

from specapp.bench.functions import functions_of
from specapp.bench.ground import Ground
from specapp.bench.result import bench_bytes, read_bench
from specapp.bench.running import BenchCancelled, UnknownSubject, run_bench, trace_cell
from specapp.bench.scenarios.registry import SCENARIOS, scenario
from specapp.bench.settings import SettingError, settings_of
from specapp.bench.trial import judged, tried
from tests.bench.ground import function_of, proposal_of

SOME = ("P1/P1-1/radial", "BG/axial", "BG/B1/casing", "P1/phase", "BG/thrust/active")


@pytest.fixture(scope="module")
def result():
    return run_bench(proposal_of(), functions=SOME)


@pytest.fixture(scope="module")
def cells(result):
    return {(cell.function, cell.scenario): cell for cell in result.cells}


def test_sixteen_scenarios_and_every_cell_once(result, cells):
    assert len(SCENARIOS) == len({each.key for each in SCENARIOS}) == 16
    assert len(result.cells) == len(cells) == 16 * len(SOME)
    assert sum(result.counts.values()) == len(cells)


def test_a_real_event_trips_and_a_foul_one_does_not(cells):
    radial = [cell for (function, _), cell in cells.items() if function == "P1/P1-1/radial"]
    tried_cells = [cell for cell in radial if cell.cases]
    assert {cell.verdict for cell in tried_cells} == {"as_it_should"}
    assert {case.happened for cell in tried_cells for case in cell.cases if case.expected == "trip"} == {
        "trip"
    }
    quiet = [case for cell in tried_cells for case in cell.cases if case.expected == "quiet"]
    assert len(quiet) >= 5
    assert {case.happened for case in quiet} == {"quiet"}


def test_what_is_not_known_is_named(cells):
    cell = cells["P1/P1-1/radial", "slow_sampling"]
    assert cell.verdict == "not_evaluated"
    assert cell.needs == "installation.sample_rate"
    assert "6067 Hz" in cell.text
    assert cells["BG/axial", "whirl"].verdict == "does_not_apply"


def test_the_step_trips_after_delay_and_turns_at_the_trip(cells):
    (case,) = cells["P1/P1-1/radial", "step_above_trip"].cases
    assert 0.95 <= case.time_to_trip_s <= 1.3
    assert case.nominal * case.margin_low == pytest.approx(37.0, rel=0.04)
    (axial,) = cells["BG/axial", "step_above_trip"].cases
    assert axial.nominal * axial.margin_low == pytest.approx(0.43, rel=0.04)


@pytest.mark.parametrize(
    ("function", "scenario_key"),
    [
        ("P1/P1-1/radial", "rub"),
        ("P1/P1-1/radial", "cross_talk"),
        ("BG/axial", "surge_cycles"),
        ("P1/phase", "notch"),
    ],
)
def test_margins_turn_the_verdict(cells, function, scenario_key):
    settings, _ = settings_of(proposal_of())
    ground = Ground(function_of(function), settings, 1)
    outcomes = {case.case: case for case in cells[function, scenario_key].cases}
    checked = 0
    for case in scenario(scenario_key).cases(ground):
        outcome = outcomes[case.name]
        for margin, out, into in ((outcome.margin_low, 0.93, 1.07), (outcome.margin_high, 1.07, 0.93)):
            if margin is None:
                continue
            checked += 1
            assert judged(case, tried(ground, case, case.nominal * margin * out)) != "as_it_should"
            assert judged(case, tried(ground, case, case.nominal * margin * into)) in ("as_it_should", "late")
    assert checked


def test_a_wiped_bearing_trips_on_both_faults_and_not_without_that_rule(cells):
    wiped = [case for case in cells["BG/axial", "thrust_wear"].cases if case.case.startswith("wiped")]
    assert [case.happened for case in wiped] == ["trip", "trip"]
    settings, _ = settings_of(proposal_of())
    ground = Ground(replace(function_of("BG/axial"), faults_trip=None), settings, 1)
    cases = [case for case in scenario("thrust_wear").cases(ground) if case.name.startswith("wiped")]
    assert [judged(case, tried(ground, case, case.nominal)) for case in cases] == ["missed", "missed"]


def test_rejection_of_spikes_hides_no_real_step(result):
    (line,) = [line for line in result.delays if line.function == "P1/P1-1/radial"]
    proof = line.rejection
    assert proof.spikes_without == "trip"
    assert not proof.hides_a_real_step
    assert proof.step_with_s == pytest.approx(proof.step_without_s, abs=0.02)
    assert proof.step_amid_spikes_s == pytest.approx(proof.step_without_s, abs=0.25)


def test_the_shortest_quiet_delay_is_the_shortest(result):
    (line,) = [line for line in result.delays if line.function == "P1/P1-1/radial"]
    assert line.shortest_quiet_s is not None
    assert line.shortest_quiet_s <= line.proposed_s
    for trial in line.trials:
        assert trial.quiet == (trial.delay_s >= line.shortest_quiet_s)
        assert trial.quiet == (not trial.disturbed_by)
    times = [trial.time_to_trip_s - trial.delay_s for trial in line.trials]
    assert max(times) - min(times) < 0.01


def test_a_failure_names_the_setting_that_mends_it():
    """A sampler of four samples a turn misses peaks; spikes trip where nothing rejects them."""
    foul = run_bench(
        proposal_of(), functions=SOME[:1], scenarios=("one_sided_spikes",), told={"spike_rejection": 0}
    )
    slow = run_bench(
        proposal_of(), functions=SOME[:1], scenarios=("slow_sampling",), told={"sample_rate_hz": 1210.0}
    )
    (spikes,), (sampling,) = foul.cells, slow.cells
    assert spikes.verdict == "needless"
    first = spikes.cases[0].mends[0]
    assert (first.setting, first.change_to, first.step_still_trips) == ("spike rejection", "on", True)
    assert sampling.verdict == "missed"
    assert sampling.cases[0].mends[0].setting == "sampling rate"


def test_same_inputs_same_bytes_and_back():
    keys = {"functions": ("P2/P2-1/radial",), "scenarios": ("step_above_trip", "one_sided_spikes")}
    first, again = run_bench(proposal_of(), **keys), run_bench(proposal_of(), **keys)
    assert bench_bytes(first) == bench_bytes(again)
    assert read_bench(bench_bytes(first)) == first
    assert bench_bytes(run_bench(proposal_of(), seed=2, **keys)) != bench_bytes(first)


def test_progress_and_cancelling():
    seen = []
    keys = {"functions": ("BG/thrust/active",), "scenarios": ("step_above_trip", "whirl", "power_dip")}
    run_bench(proposal_of(), progress=lambda done, total: seen.append((done, total)), **keys)
    assert seen == [(1, 3), (2, 3), (3, 3)]
    asked = iter([False, True])
    with pytest.raises(BenchCancelled, match="1 of 3"):
        run_bench(proposal_of(), cancelled=lambda: next(asked), **keys)


def test_a_picture_has_one_time_axis():
    plot = trace_cell(proposal_of(), "P1/P1-1/radial", "step_above_trip")
    count = len(plot.time_s)
    assert 100 < count <= 330
    assert {len(trace.high) for trace in (*plot.signals, *plot.detected)} == {count}
    assert [state.name for state in plot.states] == ["circuit fault", "alarm", "trip"]
    (begin, _), *_ = plot.states[2].intervals
    assert begin == pytest.approx(1.0, abs=0.1)


def test_wrong_names_and_settings_are_refused():
    with pytest.raises(UnknownSubject, match="P9"):
        run_bench(proposal_of(), functions=("P9",))
    with pytest.raises(SettingError) as caught:
        settings_of(proposal_of(), {"spike_ratio": 0.5, "nonsense": 1.0, "run_up_s": float("nan")})
    assert len(caught.value.problems) == 3
    with pytest.raises(ValueError, match=r"needs installation\.sample_rate"):
        trace_cell(proposal_of(), "P1/P1-1/radial", "slow_sampling")
    with pytest.raises(UnknownSubject):
        trace_cell(proposal_of(), "BG/axial", "whirl")
    with pytest.raises(ValueError, match="counts pulses"):
        trace_cell(proposal_of(), "P1/phase", "notch")


@pytest.mark.parametrize("name", ["us_units_process", "published_air_compressor", "turbine_driven_hydrogen"])
def test_other_machines_are_tried_in_their_own_units(name):
    functions = [
        each for each in functions_of(proposal_of(name)) if each.quantity in ("axial_position", "overspeed")
    ]
    found = run_bench(
        proposal_of(name),
        functions=[each.key for each in functions],
        scenarios=("step_above_trip", "slow_rise"),
    )
    assert {cell.verdict for cell in found.cells} == {"as_it_should"}
    if name != "turbine_driven_hydrogen":
        assert {line.unit for line in found.functions} == {"mil"}
