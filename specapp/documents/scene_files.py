"""The drawings as SVG files, from the same scenes that the datasheet paints."""

from __future__ import annotations

from specapp.documents.clouds import clouded
from specapp.documents.options import Options
from specapp.domain.proposal import Proposal
from specapp.drawings.architecture_line import architecture_scene
from specapp.drawings.machine_layout import layout_scene
from specapp.drawings.svg import svg_text


def layout(proposal: Proposal, options: Options) -> bytes:
    return svg_text(clouded(layout_scene(proposal), options.changes)).encode()


def architecture(proposal: Proposal, options: Options) -> bytes:
    return svg_text(clouded(architecture_scene(proposal), options.changes)).encode()
