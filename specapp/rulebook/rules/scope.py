"""Which documents govern, and whether the service class fits the gas."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Assumption, Check, GoverningDocument, OpenPoint
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule

_TO_CONFIRM = "edition to be confirmed against the contract"

_PROCESS = (
    GoverningDocument("API 617", "3", "2022", "machine", "published", "9th edition"),
    GoverningDocument("API 670", None, "2014", "monitoring", "published", f"5th edition; {_TO_CONFIRM}"),
)
_PACKAGED = (
    GoverningDocument("API 672", None, "2019", "machine", "published", "5th edition"),
    GoverningDocument(
        "API 670", None, "2014", "monitoring, where specified", "published", f"5th edition; {_TO_CONFIRM}"
    ),
)
_COMMON = (
    GoverningDocument(
        "ISO 20816-3",
        None,
        "2022",
        "evaluation zones",
        "published",
        "zones only, computed outside its speed range with that remark; ISO 20816-9 leaves integrally "
        "geared compressors out, no conformity with it is claimed",
    ),
    GoverningDocument("ISA-5.1", None, "2009", "tags", "published", ""),
    GoverningDocument("IEC 61508", None, "2010", "functional safety of equipment", "published", ""),
    GoverningDocument("IEC 61511-1", None, "2016", "functional safety of the plant", "published", ""),
)
_ZONES = GoverningDocument("IEC 60079", "series", "", "hazardous area", "published", _TO_CONFIRM)
_DIVISIONS = GoverningDocument("NEC", "article 500", "", "hazardous area", "published", _TO_CONFIRM)


@rule(id="SCO-DOC-010", title="Governing documents", phase=Phase.SCOPE)
def governing_documents(ctx: Context) -> Iterator[GoverningDocument]:
    """The service class decides which machine standard the contract is read by."""
    why = ctx.why()
    process = why.fact("service_class", ctx.machine.service_class) == "process"
    area = ctx.machine.hazardous_area
    why.fact("hazardous_area.division", area.division)
    why.say("API 617 Part 3 governs process machines, API 672 packaged air machines.")
    yield from _PROCESS if process else _PACKAGED
    yield from _COMMON
    if not area.unclassified:
        yield _DIVISIONS if area.division is not None else _ZONES


@rule(id="SCO-AIR-010", title="Packaged air handles air", phase=Phase.SCOPE)
def packaged_air_handles_air(ctx: Context) -> Iterator[Check | Assumption]:
    """A packaged air machine on another gas has left the scope of its standard."""
    if ctx.process:
        return
    why = ctx.why()
    names = why.fact("gases", list(ctx.machine.gases))
    others = [name for name in names if not ctx.gases[name].air]
    if others:
        listed = ", ".join(others)
        text = f"API 672 covers packaged air; for {listed} the process standard (API 617 Part 3) governs."
        remedies = ("Set the service class to process.",)
        yield Check(
            "scope.packaged_air", "machine", "fail", None, None, text, remedies, None, (why.say(text),)
        )
        return
    text = "The machine handles air, as API 672 assumes."
    reason = why.say(text)
    yield Check("scope.packaged_air", "machine", "pass", None, None, text, (), None, (reason,))
    if not names:
        changes = ("governing documents", "area.handled_gas")
        yield Assumption("gases", ["air"], "A packaged air machine handles air.", changes, 0, (reason,))


@rule(id="SCO-GAS-010", title="Handled gas of a process machine", phase=Phase.SCOPE)
def process_gas_is_named(ctx: Context) -> Iterator[OpenPoint]:
    """The handled gas decides the area check and the wetted materials; nobody may guess it."""
    if not ctx.process or ctx.machine.gases:
        return
    why = ctx.why()
    why.fact("gases", [])
    text = "Handled gas not told: the area is not held against it, wetted materials are not chosen."
    yield OpenPoint("gases", "gases", text, "owner", (why.say(text),))
