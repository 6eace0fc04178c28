"""The sections of a proposal page, each with its counts, narrowed to what needs the reader when asked."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from specapp.documents.wording import words
from specapp.domain.proposal import Check, Proposal
from specapp.projects.presenting.figures import Display
from specapp.projects.presenting.points import point_lines, setpoint_lines

FIRST_ASSUMPTIONS = 3
_TOLD_APART = {"fail": 0, "caution": 1, "not_evaluated": 2, "pass": 3}
# Shown at once; multiples and spectra of every shaft are folded.
_FIRST_KINDS = frozenset({"rotation", "gear_mesh"})


@dataclass(frozen=True, slots=True)
class Section:
    """One section: `count` of everything, `needs` of what waits for the reader."""

    key: str
    title: str
    count: int
    needs: int
    needs_word: str
    data: dict[str, Any]

    @property
    def template(self) -> str:
        return f"projects/sections/{self.key}.html"


def sections(proposal: Proposal, display: Display, *, only_needs: bool) -> list[Section]:
    """Return the sections in reading order; with `only_needs` those alone in which something waits."""
    found = [build(proposal, display, only_needs) for build in _BUILDERS]
    return [section for section in found if (section.needs if only_needs else section.count)]


def _points(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    shafts = [] if only_needs else point_lines(proposal, display)
    return Section("points", "Points", len(proposal.points), 0, "", {"shafts": shafts})


def _setpoints(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    shafts = setpoint_lines(proposal, display, only_needs=only_needs)
    lines = [line for shaft in shafts for line in shaft.lines]
    needs = sum(line.needs_you for line in lines)
    data = {"shafts": shafts, "cautions": proposal.cautions}
    return Section("setpoints", "Setpoints", len(lines), needs, "held or placeholder", data)


def _checks(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    ordered = sorted(proposal.checks, key=lambda check: _TOLD_APART[check.result])
    waiting = [check for check in ordered if check.result != "pass"]
    passed = [] if only_needs else [check for check in ordered if check.result == "pass"]
    counts = Counter(words(check.result) for check in ordered)
    data = {
        "waiting": _alike(waiting),
        "passed": _alike(passed),
        "passed_count": len(passed),
        "counts": dict(counts),
    }
    return Section("checks", "Installation checks", len(ordered), len(waiting), "not passed", data)


def _alike(checks: list[Check]) -> list[tuple[Check, list[str]]]:
    """Return checks that say the same once, with all their subjects."""
    found: dict[Any, tuple[Check, list[str]]] = {}
    for check in checks:
        said = (check.check, check.result, check.text, check.measured, check.limit, check.needs)
        found.setdefault(said, (check, []))[1].append(check.subject)
    return list(found.values())


def _frequencies(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    first = [line for line in proposal.frequencies if line.kind in _FIRST_KINDS]
    more = [line for line in proposal.frequencies if line.kind not in _FIRST_KINDS]
    return Section(
        "frequencies", "Frequencies", len(proposal.frequencies), 0, "", {"first": first, "more": more}
    )


def _area(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    kinds: dict[tuple[str, str, str, str], list[Any]] = {}
    for point in proposal.points:
        place = point.installation
        kind = (
            words(point.transducer.type),
            place.equipment_protection_level or "",
            place.protection or "",
            place.required_marking or "",
        )
        kinds.setdefault(kind, []).append(point)
    rows = [
        {
            "kind": kind,
            "count": len(points),
            "notes": dict.fromkeys(n for p in points for n in p.installation.notes),
        }
        for kind, points in kinds.items()
    ]
    data = {"rows": rows, "area": proposal.machine.get("hazardous_area")}
    return Section("area", "Hazardous area", len(rows), 0, "", data)


def _architecture(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    built = proposal.architecture
    modules = sum(len(rack.modules) for rack in built.racks)
    count = len(built.junction_boxes) + modules + len(built.relays)
    tags = {point.key: point.tag for point in proposal.points}
    return Section("architecture", "Architecture", count, 0, "", {"built": built, "tags": tags})


def _bill(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    lines = proposal.bill_of_materials
    return Section("bill", "Bill of materials", len(lines), 0, "", {"lines": lines})


def _cause_and_effect(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    rows = proposal.cause_and_effect
    effects = list(dict.fromkeys(effect for row in rows for effect in row.effects))
    marked = [(row, [effect in row.effects for effect in effects]) for row in rows]
    data = {
        "trips": [item for item in marked if item[0].level == "trip"],
        "others": [item for item in marked if item[0].level != "trip"],
        "effects": effects,
    }
    return Section("cause_and_effect", "Cause and effect", len(rows), 0, "", data)


def _process_protection(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    lines = proposal.process_protection
    return Section("process_protection", "Process protection", len(lines), 0, "", {"lines": lines})


def _responsibility(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    lines = proposal.responsibility
    return Section("responsibility", "Who supplies what", len(lines), 0, "", {"lines": lines})


def _reconciliation(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    lines = proposal.reconciliation
    broken = [line for line in lines if not line.holds]
    data = {"lines": broken if only_needs else lines, "conflicts": proposal.conflicts}
    needs = len(broken) + len(proposal.conflicts)
    return Section("reconciliation", "Reconciliation", len(lines), needs, "not holding", data)


def _assumptions(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    lines = proposal.assumptions
    data = {"first": lines[:FIRST_ASSUMPTIONS], "more": lines[FIRST_ASSUMPTIONS:]}
    return Section("assumptions", "Assumptions", len(lines), len(lines), "to be confirmed", data)


def _open_points(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    by_whom: dict[str, list[Any]] = {}
    for point in proposal.open_points:
        by_whom.setdefault(words(point.ask), []).append(point)
    count = len(proposal.open_points)
    return Section("open_points", "Open points", count, count, "open", {"by_whom": by_whom})


def _basis(proposal: Proposal, display: Display, only_needs: bool) -> Section:
    data = {"governing": proposal.governing, "criteria": proposal.criteria}
    return Section("basis", "Governing documents and criteria", len(proposal.governing), 0, "", data)


_BUILDERS: tuple[Callable[[Proposal, Display, bool], Section], ...] = (
    _assumptions,
    _open_points,
    _points,
    _setpoints,
    _checks,
    _frequencies,
    _area,
    _architecture,
    _bill,
    _cause_and_effect,
    _process_protection,
    _responsibility,
    _reconciliation,
    _basis,
)
