"""A project's own criteria as the file that the command line and other projects read."""

import json
from collections.abc import Iterable

from specapp.projects.models import ProjectCriterion


def criteria_toml(rows: Iterable[ProjectCriterion]) -> str:
    """Return the values in force as TOML of `[[criterion]]`, in the order of their keys."""
    return "\n".join(map(_entry, sorted(rows, key=lambda row: row.key)))


def _entry(row: ProjectCriterion) -> str:
    lines = [
        "[[criterion]]",
        f"key = {_text(row.key)}",
        f"value = {row.value!r}",
        f"reason = {_text(row.reason)}",
    ]
    if row.source:
        lines.append(f"source = {_text(row.source)}")
    if row.dated:
        lines.append(f"date = {row.dated.isoformat()}")
    return "\n".join(lines) + "\n"


def _text(text: str) -> str:
    # A basic string of TOML has the escapes of JSON, and forbids one character more.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
