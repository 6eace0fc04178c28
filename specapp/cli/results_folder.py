"""Results on disk: every document of a proposal in one folder, all of them or none."""

from __future__ import annotations

import os
from pathlib import Path

from specapp.cli.terminal import refuse
from specapp.documents.options import Options
from specapp.documents.registry import DOCUMENTS
from specapp.domain.problems import Problem
from specapp.domain.proposal import Proposal

OPTION = "--out"
_ALLOWED = "a folder that can be written to, or the name of a new one"
# Names that some systems keep for devices, whatever stands after the dot.
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{kind}{n}" for kind in ("com", "lpt") for n in range(1, 10))}
)


def folder_problem(folder: Path) -> Problem | None:
    """Return why results cannot go to a folder, before anything is calculated; None where they can."""
    try:
        for place in (folder, *folder.parents):
            if place.is_dir():
                writable = os.access(place, os.W_OK | os.X_OK)
                return None if writable else Problem(OPTION, f'"{place}", which is not writable', _ALLOWED)
            if place.exists() or place.is_symlink():
                return Problem(OPTION, f'"{place}", which is a file', _ALLOWED)
    except (OSError, ValueError) as error:
        return _failure(error)
    return None


def folder_name(tag: str) -> str:
    """Return a tag as the name of a folder: nothing that leads elsewhere or that a system refuses."""
    name = tag.replace("/", "_").strip()
    if name.startswith("."):
        name = f"_{name[1:]}"
    name = f"{name[:-1]}_" if name.endswith(".") else name
    return f"_{name}" if name.partition(".")[0].strip().casefold() in _DEVICES else name


def write_results(proposal: Proposal, folder: Path, options: Options) -> None:
    """Write every document of the registry into a folder. Raises Refusal at `--out`."""
    rendered = {each.filename: each.render(proposal, options) for each in DOCUMENTS.values()}
    unfinished: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for filename, data in rendered.items():
            part = folder / f".{filename}.part"
            unfinished.append((part, folder / filename))
            part.write_bytes(data)
        for part, file in unfinished:
            part.replace(file)
    except (OSError, ValueError) as error:
        for part, _ in unfinished:
            part.unlink(missing_ok=True)
        problem = _failure(error)
        raise refuse(problem.path, problem.found, problem.allowed) from None


def _failure(error: Exception) -> Problem:
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return Problem(OPTION, f"a folder that cannot be used ({reason[0].lower()}{reason[1:]})", _ALLOWED)
