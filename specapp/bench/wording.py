"""The verdict of a case in a sentence or two."""

from __future__ import annotations

from typing import Final

from specapp.bench.result import CaseOutcome

__all__ = ["case_text"]

_SHORTEST_S: Final = 0.01
_SHOULD: Final = {
    "trip": "must trip",
    "alarm": "must alarm and not trip",
    "quiet": "must stay quiet",
    "count": "must count every pulse",
}
_DID: Final = {
    "trip": "trips",
    "alarm": "alarms",
    "quiet": "stays quiet",
    "count": "counts every pulse",
    "lost": "loses pulses",
}


def case_text(outcome: CaseOutcome) -> str:
    """Return what was tried, what should happen, what did, and how far it is from turning."""
    size = f"{outcome.nominal:.4g} {outcome.unit}"
    parts = [
        f"{_first_upper(outcome.disturbance)} {size}: {_SHOULD[outcome.expected]}, {_DID[outcome.happened]}"
    ]
    if outcome.time_to_trip_s is not None:
        parts[0] += f" after {_after(outcome.time_to_trip_s)}"
    elif outcome.happened == "alarm":
        times = [time for time in (outcome.time_to_alarm_s, outcome.time_to_fault_s) if time is not None]
        kind = "circuit fault" if outcome.time_to_alarm_s is None else "setpoint"
        parts[0] += f" after {_after(min(times))} ({kind})"
    parts[0] = _ended(parts[0])
    if outcome.verdict == "late":
        parts.append(f"Allowed are {outcome.allowed_s:.2f} s.")
    parts.append(_margin(outcome))
    for mend in outcome.mends:
        still = "" if mend.step_still_trips else ", but then the plain step does not act"
        parts.append(f"Mended by {mend.setting}: {mend.now} to {mend.change_to}{still}.")
    return " ".join(part for part in parts if part)


def _margin(outcome: CaseOutcome) -> str:
    right = outcome.verdict in ("as_it_should", "late")
    sizes = []
    if outcome.margin_low is not None:
        sizes.append(
            f"{'below' if right else 'at'} {outcome.nominal * outcome.margin_low:.3g} {outcome.unit}"
        )
    if outcome.margin_high is not None:
        sizes.append(
            f"{'above' if right else 'at'} {outcome.nominal * outcome.margin_high:.3g} {outcome.unit}"
        )
    if not sizes:
        return "No other size that was tried changes that."
    return _ended(f"{'Turns' if right else 'Comes right'} {' and '.join(sizes)}")


def _after(time_s: float) -> str:
    """Return a time; what is shorter than the last figure shown is not told as nothing."""
    return f"{time_s:.2f} s" if time_s >= _SHORTEST_S else f"less than {_SHORTEST_S:g} s"


def _ended(sentence: str) -> str:
    """Return a sentence with its full stop; one that ends in a unit with a point, as r.m.s., has it."""
    return sentence if sentence.endswith(".") else f"{sentence}."


def _first_upper(text: str) -> str:
    return text[:1].upper() + text[1:]
