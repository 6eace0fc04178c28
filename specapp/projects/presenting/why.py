"""What answers a "why": the reasons behind a point, or those a line of the proposal points to."""

import re
from dataclasses import dataclass

from specapp.documents.wording import plain, words
from specapp.domain.display import unit_symbols
from specapp.domain.proposal import Proposal, Reason, Setpoint
from specapp.projects.presenting.figures import Display, setting

_TRACE = re.compile(r"t(\d{1,6}(?:\.\d{1,6}){0,40})")
_CUT_TITLES = 3


@dataclass(frozen=True, slots=True)
class ReasonLine:
    """One reason as shown: the rule, its sentence, its source, what it read."""

    rule: str
    text: str
    source: str
    status: str
    reads: tuple[tuple[str, str], ...]
    criteria: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Why:
    """The panel: what is asked about, the reasons, and the candidates where it is a setpoint."""

    title: str
    reasons: tuple[ReasonLine, ...]
    setpoints: tuple[tuple[str, Setpoint, str], ...] = ()
    point: str = ""


def trace_ref(trace: tuple[int, ...]) -> str:
    """Return the reference by which a line's reasons are asked for; empty where it has none."""
    return "t" + ".".join(map(str, trace)) if trace else ""


def why_answer(proposal: Proposal, asked: str, display: Display) -> Why | None:
    """Return the answer, or None where nothing of that name is in this proposal."""
    match = _TRACE.fullmatch(asked)
    if match:
        indices = [int(text) for text in match[1].split(".")]
        if any(index >= len(proposal.trace) for index in indices):
            return None
        reasons = [proposal.trace[index] for index in indices]
        title = (
            "; ".join(dict.fromkeys(reason.text for reason in reasons[:_CUT_TITLES]))
            if len(reasons) == 1
            else ""
        )
        return Why(unit_symbols(title) or "Why this is so", tuple(map(reason_line, reasons)))
    for point in proposal.points:
        if point.key == asked:
            found = {"alarm": point.setpoints.alarm, "trip": point.setpoints.trip}
            axial = point.quantity == "axial_position"
            shown = tuple(
                (name, item, setting(item, display, axial=axial)) for name, item in found.items() if item
            )
            return Why(f"{point.tag} {point.title}", tuple(map(reason_line, point.because)), shown, point.key)
    for protection in proposal.process_protection:
        if protection.key == asked:
            return Why(unit_symbols(protection.text), tuple(map(reason_line, protection.because)))
    return None


def reason_line(reason: Reason) -> ReasonLine:
    source = ", ".join(part for part in (reason.source, reason.edition) if part)
    return ReasonLine(
        rule=reason.rule,
        text=unit_symbols(reason.text),
        source=source,
        status=reason.status,
        reads=tuple((key, plain(value)) for key, value in reason.reads.items()),
        criteria=tuple(
            (
                item.key,
                f"{plain(item.value)}{'' if item.unit in ('1', '') else f' {item.unit}'}",
                item.status,
                words(str((item.override or {}).get("reason", ""))) if item.override else "",
            )
            for item in reason.criteria
        ),
    )
