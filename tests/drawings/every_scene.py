"""All scenes of a proposal, wide and for a phone, for tests that hold of each of them."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Proposal
from specapp.drawings.architecture_line import architecture_scene, architecture_sheets
from specapp.drawings.chain_column import chain_keys, chain_scene
from specapp.drawings.frequency_map import frequency_map_scene
from specapp.drawings.machine_layout import layout_scene, layout_sheets, shaft_names, shaft_scene
from specapp.drawings.probe_sketch import probe_sketch_scene
from specapp.drawings.scene import Scene
from specapp.drawings.setpoint_scale import setpoint_scale_scene
from specapp.drawings.trip_paths import trip_paths_scene

PHONE_MM = 100.0


def every_scene(proposal: Proposal) -> Iterator[Scene]:
    yield layout_scene(proposal)
    yield from layout_sheets(proposal, 267.0, 165.0)
    yield architecture_scene(proposal)
    yield from architecture_sheets(proposal, 257.0, 160.0, 0.65)
    for key in chain_keys(proposal):
        yield chain_scene(proposal, key)
    yield frequency_map_scene(proposal)
    yield trip_paths_scene(proposal)
    for shaft in shaft_names(proposal):
        yield shaft_scene(proposal, shaft)
        yield setpoint_scale_scene(proposal, shaft)
        yield setpoint_scale_scene(proposal, shaft, PHONE_MM)
        yield trip_paths_scene(proposal, shaft)
        yield trip_paths_scene(proposal, shaft, PHONE_MM)
    for shaft in dict.fromkeys(line.shaft for line in proposal.frequencies):
        yield frequency_map_scene(proposal, shaft, PHONE_MM)
    seen = set()
    for point in proposal.points:
        if point.voting_group in seen:
            continue
        seen.add(point.voting_group)
        sketch = probe_sketch_scene(proposal, point.key)
        if sketch is not None:
            yield sketch
