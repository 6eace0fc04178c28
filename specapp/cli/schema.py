"""`schema`: the JSON Schemas of the documents, and the list of criteria with their allowed ranges."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from typing import Any

import msgspec

from specapp.cli.arguments import Arguments
from specapp.cli.terminal import DONE, write_out

# Modules by what is asked for: each is imported only then.
_MAKERS = {
    "machine": ("specapp.domain.machine_schema", "machine_schema"),
    "proposal": ("specapp.domain.proposal_schema", "proposal_schema"),
    "bids": ("specapp.evaluation.schema", "bids_schema"),
    "criteria": ("specapp.criteria.listing", "criteria_list"),
}


def main(argv: Sequence[str]) -> int:
    """Run the command and return its exit status. Raises Refusal."""
    parser = Arguments(prog="schema", description="Write a JSON Schema, or the list of criteria.")
    parser.add_argument("document", choices=tuple(_MAKERS))
    module, function = _MAKERS[parser.parse_args(argv).document]
    make: Callable[[], Mapping[str, Any]] = getattr(import_module(module), function)
    write_out(msgspec.json.format(msgspec.json.encode(make()), indent=2) + b"\n")
    return DONE
