"""Every case in `cases/*.toml`: facts of a machine in, what the rules must answer out.

A case names the rules it holds (`rule`), the facts (`machine`, over a minimal description), what an engineer
overrides (`overrides`) and what is expected (`expect.points`, `.absent_points`, `.checks`, `.bill`,
`.open_points`, `.assumptions`, `.frequencies`, `.cause_and_effect`, `.overrides`). A field is a dotted path
into the proposal's JSON.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from specapp.domain.overrides import Override
from specapp.domain.proposal import proposal_json
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.registry import RULES

CASES = sorted((Path(__file__).parent / "cases").glob("*.toml"))
MINIMAL = {
    "tag": "K-4410",
    "service_class": "process",
    "stage_count": 3,
    "bull_gear": {"speed": "1490 rpm"},
    "pinions": [{"speed": "18200 rpm"}, {"speed": "22000 rpm"}],
    "hazardous_area": "unclassified",
}
KEYED = {
    "points": ("key",),
    "checks": ("check", "subject"),
    "bill": ("item",),
    "open_points": ("key",),
    "assumptions": ("field",),
    "frequencies": ("shaft", "kind"),
    "cause_and_effect": ("cause", "level"),
    "overrides": ("item", "field"),
    "process_protection": ("key",),
}
SECTION = {"bill": "bill_of_materials"}


def _cases() -> list[Any]:
    found = []
    for path in CASES:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
        for name, case in content.items() if "machine" not in content else [("", content)]:
            found.append(pytest.param(case, id=f"{path.stem}{'-' + name if name else ''}"))
    return found


def _at(item: Any, path: str) -> Any:
    for part in path.split("."):
        item = item[int(part)] if isinstance(item, list) else item[part]
    return item


@pytest.mark.parametrize("case", _cases())
def test_case(case: dict[str, Any]) -> None:
    machine = MINIMAL | case.get("machine", {})
    overrides = [
        Override(author="A. Example", at="2026-01-15T09:00:00Z", **each) for each in case.get("overrides", [])
    ]
    document = proposal_json(propose_document(machine, overrides=overrides))
    for rule in case["rule"]:
        assert rule in RULES
    expect = case["expect"]
    for kind, keys in KEYED.items():
        rows = document[SECTION.get(kind, kind)]
        for wanted in expect.get(kind, []):
            matching = [row for row in rows if all(row[key] == wanted[key] for key in keys)]
            assert matching, f"no {kind} {[wanted[key] for key in keys]}"
            _hold(matching, wanted, keys)
    present = {point["key"] for point in document["points"]}
    for absent in expect.get("absent_points", []):
        assert absent["key"] not in present
    open_now = {item["key"] for item in document["open_points"]}
    for absent in expect.get("absent_open_points", []):
        assert absent["key"] not in open_now


def _hold(matching: list[dict[str, Any]], wanted: dict[str, Any], keys: tuple[str, ...]) -> None:
    """Assert that one of the matching rows has every wanted field and value."""
    if "field" in keys:
        fields = {k: v for k, v in wanted.items() if k not in keys}
    else:
        fields = {k: v for k, v in wanted.items() if k not in (*keys, "field", "value")}
        if "field" in wanted:
            fields[wanted["field"]] = wanted.get("value")
    seen = [{path: _at(row, path) for path in fields} for row in matching]
    assert any(all(_same(row[p], v) for p, v in fields.items()) for row in seen), f"{seen} is not {fields}"


def _same(found: Any, wanted: Any) -> bool:
    if wanted == "none":
        return found is None
    if isinstance(found, dict) and "value" in found and not isinstance(wanted, dict):
        found = found["value"]
    if isinstance(wanted, float) and isinstance(found, int | float):
        return found == pytest.approx(wanted, rel=1e-3)
    return bool(found == wanted)
