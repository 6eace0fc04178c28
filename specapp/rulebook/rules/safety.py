"""Trip reliability: what is known of it, and that it is not yet verified."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import OpenPoint
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule


@rule(
    id="SAF-REL-010",
    title="Trip reliability is not verified",
    phase=Phase.SAFETY,
    source="IEC 61511-1",
    edition="2016",
    status="from memory",
)
def not_verified(ctx: Context) -> Iterator[OpenPoint]:
    """A trip that was never calculated may be too seldom there when it is needed, or too often when not."""
    tripping = [group for group in ctx.groups.values() if any(point.trip is not None for point in group)]
    if not tripping:
        return
    safety = ctx.machine.safety
    why = ctx.why()
    target = why.fact("safety.sil_target", safety.sil_target)
    why.fact("safety.proof_test_interval", safety.proof_test_interval)
    why.fact("safety.proof_test_coverage", safety.proof_test_coverage)
    asked = "no target told" if target is None else f"target SIL {target}"
    text = f"Reliability of the {len(tripping)} trips is not verified: {asked}."
    missing = "safety_functions"
    for name in ("proof_test_interval", "sil_target"):
        if getattr(safety, name) is None:
            missing = f"safety.{name}"
    yield OpenPoint("safety/reliability", missing, text, "owner", (why.say(text),))
