"""The proposal itself as a file."""

from __future__ import annotations

from specapp.documents.options import Options
from specapp.domain.proposal import Proposal, proposal_bytes


def render(proposal: Proposal, options: Options) -> bytes:
    """Return proposal/1 as indented JSON, UTF-8, ending in a line feed."""
    return proposal_bytes(proposal, indent=True) + b"\n"
