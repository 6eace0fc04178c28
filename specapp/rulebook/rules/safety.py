"""What the reliability of trips still waits for: failure data, a target, how and how often is tested."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.catalogue.failure_data import PLACEHOLDER
from specapp.domain.proposal import OpenPoint
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.safety_data import DEVICE_TITLES, DataInForce


@rule(
    id="SAF-REL-010",
    title="What the reliability of trips waits for",
    phase=Phase.SAFETY,
    source="IEC 61511-1",
    edition="2016",
    status="from memory",
)
def waits_for(ctx: Context) -> Iterator[OpenPoint]:
    """Failure data nobody stands for, a target nobody set, a test nobody plans: none makes a claim."""
    functions = ctx.safety_functions
    if not functions:
        return
    safety = ctx.machine.safety
    why = ctx.why()
    target = why.fact("safety.sil_target", safety.sil_target)
    interval = why.fact("safety.proof_test_interval", safety.proof_test_interval)
    coverage = why.fact("safety.proof_test_coverage", safety.proof_test_coverage)
    full = why.fact("safety.full_test_interval", safety.full_test_interval)
    placeholders = dict.fromkeys(name for each in functions for name in each.get("placeholders", ()))
    count = sum(each["basis"] == PLACEHOLDER for each in functions)
    trace = (why.say(f"Of {len(functions)} trips {count} rest on placeholder failure data."),)
    if placeholders:
        missing = _missing(ctx, tuple(placeholders))
        named = ", ".join(DEVICE_TITLES[name] for name in placeholders)
        text = (
            f"Failure data of {named} are placeholders: the reliability of {count} trips is an illustration "
            f"and no level is claimed."
        )
        if missing:
            text += f" Told in part, missing: {', '.join(missing)}."
        yield OpenPoint("safety/reliability", missing[0] if missing else "devices", text, "supplier", trace)
    if target is None:
        text = "No integrity level is asked of the trips: numbers are shown, no verdict."
        yield OpenPoint("safety/target", "safety.sil_target", text, "owner", trace)
    if interval is None:
        text = "No proof-test interval told: no level is claimed."
        yield OpenPoint("safety/proof_test_interval", "safety.proof_test_interval", text, "owner", trace)
    if coverage is None:
        text = "No proof-test coverage told: no level is claimed."
        yield OpenPoint("safety/proof_test_coverage", "safety.proof_test_coverage", text, "owner", trace)
    elif coverage < 1 and full is None:
        text = (
            f"The proof test finds {coverage:.0%} of the hidden failures. When the rest is found decides the "
            "result: no level is claimed before it is told."
        )
        yield OpenPoint("safety/full_test_interval", "safety.full_test_interval", text, "owner", trace)


def _missing(ctx: Context, devices: tuple[str, ...]) -> list[str]:
    """Return what partly told devices lack; whether they are redundant asks for the common cause too."""
    data = DataInForce(ctx.machine)
    for device in devices:
        data.of(device, redundant=True)
    return [path for paths in data.missing.values() for path in paths]
