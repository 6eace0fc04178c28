"""Who supplies each link of the measuring chains: exactly one owner a link."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from specapp.domain.proposal import Assumption, OpenPoint, Responsibility
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE
from specapp.rulebook.context import Assign, Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.bill_items import sealed_probes
from specapp.rulebook.rules.facts import TURBINES

MACHINE_MAKER = "machine_maker"

# Owner where nobody told: the maker fits what is bolted to the machine, up to and with its boxes.
DEFAULT_OWNERS = {
    "probe": MACHINE_MAKER,
    "feed_through": MACHINE_MAKER,
    "extension_cable": MACHINE_MAKER,
    "oscillator_demodulator": MACHINE_MAKER,
    "transmitter": MACHINE_MAKER,
    "junction_box": MACHINE_MAKER,
    "field_cable": "installer",
    "isolator": "system_supplier",
    "monitor": "system_supplier",
    "shutdown_system": "purchaser",
    "installation": "installer",
}
_LINK_TEXT = {
    "probe": "Transducers: probes, accelerometers, speed sensors, temperature elements, with their holders",
    "feed_through": "Pressure-rated lead feed-throughs of probes in the seal housing",
    "extension_cable": "Extension cables from probe to box",
    "oscillator_demodulator": "Oscillator-demodulators in the boxes",
    "transmitter": "Transmitters of 4 to 20 mA",
    "junction_box": "Junction boxes, mounted and wired",
    "field_cable": "Field cables from the boxes to the receiving system",
    "isolator": "Galvanic isolators",
    "monitor": "Monitor racks with modules, supplies and relays; overspeed systems",
    "shutdown_system": "Shutdown system that stops the machine",
    "installation": "Installation, loop check and commissioning",
}
_ONE_MAKER = ("probe", "extension_cable", "oscillator_demodulator")


def owner_of(ctx: Context, link: str) -> str:
    """Return who supplies a link: as told in the scope, else by default."""
    told: str | None = getattr(ctx.machine.scope, link)
    return told or DEFAULT_OWNERS[link]


def is_turbine_overspeed(ctx: Context, point: PointDraft) -> bool:
    """Return whether a point is of the overspeed group that comes with a turbine."""
    driver = ctx.machine.driver
    return (
        point.chain == "overspeed_system"
        and point.shaft.kind == "driver"
        and driver is not None
        and driver.kind in TURBINES
    )


def links_of_points(ctx: Context) -> dict[str, tuple[str, ...]]:
    """Return the links of each point's chain, from the shaft to the shutdown system."""
    sealed = ctx.once(sealed_probes)
    return {
        key: _links(
            point.transducer is not None and point.transducer.type == "proximity_probe",
            key in sealed,
            point.chain,
            point.protection in INTRINSICALLY_SAFE,
            point.trip is not None,
        )
        for key, point in ctx.points.items()
    }


@cache
def _links(proximity: bool, sealed: bool, chain: str, isolated: bool, trips: bool) -> tuple[str, ...]:
    links = ["probe"]
    if proximity:
        if sealed:
            links.append("feed_through")
        links.append("extension_cable")
        links.append("transmitter" if chain == "transmitter" else "oscillator_demodulator")
    links += ["junction_box", "field_cable"]
    if isolated:
        links.append("isolator")
    if chain in ("monitor", "overspeed_system"):
        links.append("monitor")
    if trips:
        links.append("shutdown_system")
    return (*links, "installation")


@rule(id="RSP-LNK-010", title="Owner of each link", phase=Phase.BILL)
def owners(ctx: Context) -> Iterator[Responsibility | Assign | Assumption | OpenPoint]:
    """What nobody supplies is missed on site; what two supply is paid twice."""
    chains: dict[tuple[tuple[str, ...], bool], list[PointDraft]] = {}
    links_by_point = ctx.once(links_of_points)
    for key, point in ctx.points.items():
        chains.setdefault((links_by_point[key], is_turbine_overspeed(ctx, point)), []).append(point)
    present = {link for links, _ in chains for link in links}
    why = ctx.why()
    assumed: list[str] = []
    for link, default in DEFAULT_OWNERS.items():
        told = why.fact(f"scope.{link}", getattr(ctx.machine.scope, link)) if link in present else None
        if link in present and told is None:
            assumed.append(f"{link.replace('_', ' ')} {default.replace('_', ' ')}")
    reason = why.say("Each link of the chains has one owner, told or by default.")
    for link in DEFAULT_OWNERS:
        told = getattr(ctx.machine.scope, link)
        if link in present:
            yield Responsibility(link, owner_of(ctx, link), told is None, _LINK_TEXT[link])
        elif told is not None:
            text = f"{_LINK_TEXT[link]}: none in this machine"
            yield Responsibility(link, told, False, text)
    owners_in_force = {link: owner_of(ctx, link) for link in present}
    for (links, with_turbine), points in chains.items():
        owned = {link: owners_in_force[link] for link in links}
        if with_turbine:
            # The turbine maker supplies the whole group; among the owners that is the machine's maker.
            owned |= dict.fromkeys(("probe", "monitor"), MACHINE_MAKER)
        yield Assign(points, {"supplied_by": owned})
    if assumed:
        text = f"Supply not told: {', '.join(assumed)}."
        changes = ("supplied_by of the points", "bill of materials")
        yield Assumption("scope", "by default", text, changes, 0, (reason,))
    family = {link: owner_of(ctx, link) for link in _ONE_MAKER}
    if set(_ONE_MAKER) <= present and len(set(family.values())) > 1:
        text = (
            "Probe, extension cable and oscillator-demodulator come from different hands: only parts of one "
            "make, tuned to one length, keep the scale factor. Who answers for the pairing is open."
        )
        yield OpenPoint("scope/one_make", "scope.probe", text, "purchaser", (reason,))
