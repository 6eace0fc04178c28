"""What the scales, maps, paths, chains and sketches say, beyond being drawn soundly."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from msgspec.structs import replace

from specapp.domain.proposal import Check, Measure, Multiplier, Proposal
from specapp.drawings.architecture_line import architecture_scene, architecture_sheets
from specapp.drawings.chain_column import chain_scene
from specapp.drawings.chains import chains_of
from specapp.drawings.end_view import pinion_angles
from specapp.drawings.frequency_map import frequency_map_scene
from specapp.drawings.probe_sketch import probe_sketch_scene
from specapp.drawings.rack_schedule import rack_schedules
from specapp.drawings.scene import Circle, Group, Line, Polyline, Rect, Scene, walk
from specapp.drawings.setpoint_scale import setpoint_scale_scene
from specapp.drawings.train import train_of
from specapp.drawings.trip_paths import trip_paths_scene
from specapp.rulebook.proposing import propose_document
from tests.drawings.geometry import assert_sound, texts
from tests.drawings.sample import filled, sample_proposal

MACHINES = Path(__file__).parents[2] / "fixtures" / "machines"


def words(scene: Scene) -> str:
    return " | ".join(text.text for text in texts(scene))


@pytest.fixture(scope="module")
def eight_stage() -> Proposal:
    return propose_document((MACHINES / "eight_stage.json").read_bytes())


def test_a_scale_shows_every_candidate_and_marks_the_governing_one(eight_stage: Proposal) -> None:
    scene = setpoint_scale_scene(eight_stage, "P1")
    point = next(p for p in eight_stage.points if p.key == "P1/P1-1/radial/Y")
    shown = words(scene)
    assert point.setpoints.trip is not None
    assert shown.count("governs") >= 2
    assert "A 25.4" in shown
    assert f"trip {point.setpoints.trip.value:g}" in shown
    rows = [cells for key, cells in scene.table.rows if key == "P1/P1-1/radial"]
    names = [cells[1] for cells in rows]
    assert names[0] == "acceptance limit"
    assert names[-2:] == ["setting", "range"]
    governed = [c for c in point.setpoints.trip.candidates if c.criterion == point.setpoints.trip.governed_by]
    assert len(governed) == 1


def test_positions_that_agree_share_a_scale_and_keep_a_row_each_in_the_table() -> None:
    scene = setpoint_scale_scene(sample_proposal(1), "P1")
    assert "P1-1, P1-2: radial vibration, µm p-p" in words(scene)
    assert {key for key, _ in scene.table.rows} >= {"P1/P1-1/radial", "P1/P1-2/radial"}


def test_a_candidate_without_its_input_says_what_it_needs() -> None:
    assert "not evaluated, needs pinions[0].journal_diameter" in words(
        setpoint_scale_scene(sample_proposal(1), "P1")
    )


def test_a_multiplied_trip_and_a_held_value_are_shown() -> None:
    proposal = sample_proposal(1)
    multiplier = Multiplier(2.0, "start contact", Measure(30.0, "s"), ())
    points = tuple(
        replace(
            p,
            multiplier=multiplier,
            setpoints=replace(p.setpoints, trip=replace(p.setpoints.trip, status="hold")),
        )
        if p.quantity == "radial_vibration" and p.setpoints.trip
        else p
        for p in proposal.points
    )
    scene = setpoint_scale_scene(replace(proposal, points=points), "P1")
    assert "trip × 2" in words(scene)
    assert "trip 41 (hold)" in words(scene)
    assert_sound(scene)


def test_a_candidate_beyond_full_scale_is_an_arrow_at_the_end() -> None:
    proposal = sample_proposal(1)
    scene = setpoint_scale_scene(proposal, "P1")
    heads = [s for _, s in walk(scene.shapes) if isinstance(s, Polyline) and s.fill == "ink"]
    assert heads, "the sample's zone candidates of temperature lie beyond its range"
    assert "alarm 170" in words(scene)


def test_a_shaft_without_setpoints_says_so_and_an_unknown_one_is_refused() -> None:
    proposal = replace(sample_proposal(1), points=())
    assert "No setpoint on this shaft." in words(setpoint_scale_scene(proposal, "P1"))
    with pytest.raises(KeyError):
        setpoint_scale_scene(proposal, "P7")


def test_the_map_lists_every_frequency_and_hatches_the_bands(eight_stage: Proposal) -> None:
    scene = frequency_map_scene(eight_stage)
    rows = [cells for _, cells in scene.table.rows]
    assert len([cells for cells in rows if cells[0] != "band"]) == len(eight_stage.frequencies)
    bands = [s for _, s in walk(scene.shapes) if isinstance(s, Rect) and s.fill == "hatch"]
    assert len(bands) == len([cells for cells in rows if cells[0] == "band"]) > 0


def test_frequencies_that_coincide_share_one_label() -> None:
    proposal = sample_proposal(1)
    mesh = next(line for line in proposal.frequencies if line.kind == "gear_mesh" and line.shaft == "P1")
    twin = replace(mesh, kind="assembly_phase")
    scene = frequency_map_scene(replace(proposal, frequencies=(*proposal.frequencies, twin)), "P1")
    assert "mesh, assembly phase 6977" in words(scene)


def test_a_band_told_in_other_words_is_written_and_not_drawn() -> None:
    proposal = sample_proposal(1, full=False)
    points = tuple(
        replace(p, transducer=replace(p.transducer, band="as the maker says")) for p in proposal.points
    )
    scene = frequency_map_scene(replace(proposal, points=points))
    assert "as the maker says" in words(scene)
    assert not [s for _, s in walk(scene.shapes) if isinstance(s, Rect) and s.fill == "hatch"]


def test_without_frequencies_the_map_is_still_a_sheet() -> None:
    assert_sound(frequency_map_scene(replace(sample_proposal(1), frequencies=(), points=())))


def test_trip_paths_put_a_dot_at_every_cause_and_relay_and_no_other() -> None:
    proposal = sample_proposal(2)
    scene = trip_paths_scene(proposal)
    for cause in {row.cause for row in proposal.cause_and_effect}:
        group = next(s for s in scene.shapes if isinstance(s, Group) and s.key == cause)
        relays = {row.relay for row in proposal.cause_and_effect if row.cause == cause}
        assert sum(isinstance(s, Circle) for s in group.shapes) == len(relays)
    effects = {effect for row in proposal.cause_and_effect for effect in row.effects}
    assert {f"effect/{effect}" for effect in effects} <= {s.key for s in scene.shapes if isinstance(s, Group)}
    assert len(scene.table.rows) == len(proposal.cause_and_effect)


def test_trip_paths_of_one_shaft_hold_its_causes_only() -> None:
    scene = trip_paths_scene(sample_proposal(2), "P2")
    assert {key for key, _ in scene.table.rows} == {
        "P2/P2-1/radial", "P2/P2-2/radial", "P2/P2-1/temperature", "P2/P2-2/temperature",
        "P2/axial", "P2/thrust/active", "P2/thrust/inactive",
    }  # fmt: skip
    with pytest.raises(KeyError):
        trip_paths_scene(sample_proposal(2), "P9")


def test_a_path_without_relay_is_named_by_where_it_acts() -> None:
    proposal = sample_proposal(1)
    rows = tuple(replace(row, relay=None, acts_in="control system") for row in proposal.cause_and_effect)
    shown = words(trip_paths_scene(replace(proposal, cause_and_effect=rows)))
    assert "control system | no relay of a rack" in shown


def test_chains_hold_every_point_once() -> None:
    for path in sorted(MACHINES.glob("*.json")):
        proposal = propose_document(path.read_bytes())
        found = Counter(point.key for chain in chains_of(proposal) for point in chain.points)
        assert found == Counter(point.key for point in proposal.points)


def test_the_single_line_shows_area_isolators_and_racks() -> None:
    proposal = propose_document((MACHINES / "ten_stage.json").read_bytes())
    shown = words(architecture_scene(proposal))
    assert "Hazardous area, zone 1 IIA T3" in shown
    assert "Safe area" in shown
    assert "galvanic" in shown
    assert "trip radial" in shown
    scene = architecture_scene(proposal)
    boundary = [s for _, s in walk(scene.shapes) if isinstance(s, Line) and s.line == "chain"]
    assert len(boundary) == 1


def test_a_single_line_too_large_for_a_sheet_has_its_links_on_another(eight_stage: Proposal) -> None:
    whole = architecture_scene(eight_stage)
    assert architecture_sheets(eight_stage, whole.width, whole.height, 0.9) == (whole,)
    chains, links = architecture_sheets(eight_stage, whole.width, whole.height / 2, 0.9)
    assert Counter(words(chains).split(" | ") + words(links).split(" | ")) == Counter(
        words(whole).split(" | ")
    )
    assert chains.height < whole.height


def test_an_unclassified_area_has_no_boundary_and_a_transmitter_chain_no_relays() -> None:
    proposal = propose_document((MACHINES / "published_air_compressor.json").read_bytes())
    scene = architecture_scene(proposal)
    assert "Area unclassified" in words(scene)
    assert not [s for _, s in walk(scene.shapes) if isinstance(s, Line) and s.line == "chain"]
    assert "transmitter, | 4-20\u00a0mA" in words(scene)
    assert "Shutdown system" in words(scene)


def test_one_chain_reads_from_transducer_to_effects() -> None:
    proposal = propose_document((MACHINES / "ten_stage.json").read_bytes())
    scene = chain_scene(proposal, "chain/monitor/proximity_probe/radial_vibration")
    links = [cells[0].partition(",")[0] for _, cells in scene.table.rows]
    assert links == [
        "28 × proximity probe", "28 × oscillator-demodulator", "28 × galvanic isolator", "8 × dynamic module",
        "Relays", "Effects",
    ]  # fmt: skip
    assert scene.width <= 100
    assert "alarm, R-1 | trip radial, R-1 | circuit fault, R-1" in words(scene)
    with pytest.raises(KeyError):
        chain_scene(proposal, "chain/none")


def test_racks_are_schedules_with_every_channel() -> None:
    proposal = sample_proposal(3)
    rows = [row for rack in rack_schedules(proposal) for module in rack.modules for row in module.table.rows]
    channels = [c for r in proposal.architecture.racks for m in r.modules for c in m.channels]
    assert len(rows) == len(channels)
    assert [key for key, _ in rows if "/" in key] == [c.point for c in channels if c.point]


def test_the_sketch_is_to_scale(eight_stage: Proposal) -> None:
    scene = probe_sketch_scene(eight_stage, "P1/P1-1/radial/X")
    assert scene is not None
    shaft = next(s for _, s in walk(scene.shapes) if isinstance(s, Circle) and s.fill == "hatch")
    ruler = next(t for t in texts(scene) if t.text == "10 mm")
    line = next(s for _, s in walk(scene.shapes) if isinstance(s, Line) and s.y1 == s.y2 == ruler.y - 1)
    assert 2 * shaft.radius / (line.x2 - line.x1) == pytest.approx(108 / 10)
    assert "Tips" in words(scene)


@pytest.mark.parametrize("name", ["ten_stage", "minimal_packaged", "turbine_driven_hydrogen"])
def test_every_letter_on_a_sketch_is_explained_under_it(name: str) -> None:
    proposal = propose_document((MACHINES / f"{name}.json").read_bytes())
    for point in {p.voting_group: p for p in proposal.points}.values():
        scene = probe_sketch_scene(proposal, point.key)
        if scene is None:
            continue
        drawn = {text.text for text in texts(scene) if len(text.text) == 1} - {"X", "Y"}
        assert drawn == {cells[0] for _, cells in scene.table.rows} - {""}, point.key


@pytest.mark.parametrize("angles", [(0.0, 90.0), (315.0, 45.0), (180.0, 270.0), (225.0, 135.0)])
def test_the_sketch_fits_whatever_the_angles_and_the_diameter(angles: tuple[float, float]) -> None:
    proposal = sample_proposal(1)
    for diameter in (12.0, 58.0, 400.0):
        points = tuple(
            replace(p, angle=Measure(angles[p.direction == "X"], "deg")) if p.direction else p
            for p in proposal.points
        )
        check = filled(
            Check,
            check="probe.shaft_diameter",
            subject="P1/P1-1/radial",
            result="pass",
            measured=Measure(diameter, "mm"),
            text="Diameter.",
        )
        scene = probe_sketch_scene(replace(proposal, points=points, checks=(check,)), "P1/P1-1/radial/Y")
        assert scene is not None
        assert_sound(scene)


def test_an_unknown_diameter_is_said_and_not_drawn_as_told() -> None:
    proposal = sample_proposal(1)
    machine = {**proposal.machine, "pinions": [{"name": "P1"}]}
    scene = probe_sketch_scene(replace(proposal, machine=machine, checks=()), "P1/P1-1/radial/Y")
    assert scene is not None
    assert "not to scale" in words(scene)
    assert "shaft diameter not told" in words(scene)
    assert "10 mm" not in words(scene)


def test_a_notch_is_drawn_where_it_is_told() -> None:
    proposal = sample_proposal(1)
    machine = {**proposal.machine, "installation": {"notch": {"width": 12.0, "depth": 1.5}}}
    scene = probe_sketch_scene(replace(proposal, machine=machine), "P1/phase")
    assert scene is not None
    assert "notch 12 mm wide, 1.5 mm deep" in words(scene)
    assert_sound(scene)


def test_points_without_a_proximity_probe_have_no_sketch() -> None:
    proposal = sample_proposal(1)
    assert probe_sketch_scene(proposal, "P1/P1-1/temperature/A") is None
    with pytest.raises(KeyError):
        probe_sketch_scene(proposal, "P1/nothing")


def test_pinions_stand_where_they_are_told_and_the_others_apart_from_them() -> None:
    angles = pinion_angles(train_of(sample_proposal(3, angles=[90.0, 200.0, 10.0])))
    assert angles == {"P1": 90.0, "P2": 200.0, "P3": 10.0}
    told = sample_proposal(3)
    told.machine["pinions"][1]["position_angle"] = 270.0
    angles = pinion_angles(train_of(told))
    assert angles["P2"] == 270.0
    assert len(set(angles.values())) == 3


def test_an_assumed_axial_location_is_drawn() -> None:
    proposal = propose_document((MACHINES / "published_air_compressor.json").read_bytes())
    assert {pinion.located_by for pinion in train_of(proposal).pinions} == {"thrust_collar"}
