"""Bill of materials: counted from the points, boxes, racks and cables, times the trains, with spares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from specapp.domain.proposal import BillLine, OpenPoint
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE, Area, area_of
from specapp.rulebook.context import Cable, Context, PointDraft
from specapp.rulebook.counts import share_up, whole_up
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.bill_items import ITEM_ORDER, ITEMS, LOOSE, MODULE, point_items, sealed_probes
from specapp.rulebook.rules.responsibility import MACHINE_MAKER, is_turbine_overspeed, owner_of
from specapp.rulebook.trace import Why

_PIECE = "piece"


@dataclass(slots=True)
class _Line:
    """A line while it is counted: for one train until it is frozen."""

    count: int = 0
    points: list[str] = field(default_factory=list)


class _Count:
    """Lines by item and owner, in the order they were met."""

    def __init__(self) -> None:
        self.lines: dict[tuple[str, str], _Line] = {}

    def add(self, item: str, owner: str, count: int, points: Iterable[str] = ()) -> None:
        """Count more of an item from one owner, for these points."""
        line = self.lines.get((item, owner))
        if line is None:
            line = self.lines[(item, owner)] = _Line()
        line.count += count
        line.points.extend(points)


@rule(id="BOM-LIN-010", title="Bill of materials", phase=Phase.BILL)
def bill(ctx: Context) -> Iterator[BillLine]:
    """What is counted by a rule from the points cannot lose an extension cable on the way to the buyer."""
    why = ctx.why()
    trains = max(1, len(why.fact("trains", list(ctx.machine.trains))))
    counted = _Count()
    _count_points(ctx, counted)
    _count_hardware(ctx, counted)
    area = area_of(ctx)
    spares = _Spares(why)
    reason = why.say(
        f"Counted from points, boxes, racks and cables, times {trains} train{'s' if trains > 1 else ''}. "
        f"{spares.text}"
    )
    ordered = sorted(counted.lines.items(), key=lambda line: ITEM_ORDER[line[0][0]])
    for (item, owner), line in ordered:
        total = line.count * trains
        yield BillLine(
            item=item,
            description=_description(ctx, area, item),
            quantity=total,
            spares=spares.of(item, total),
            unit=_PIECE,
            supplied_by=owner,
            points=tuple(line.points),
            trace=(reason,),
        )
    yield from _cable_lines(ctx, trains, reason)


def _count_points(ctx: Context, counted: _Count) -> None:
    sealed = ctx.once(sealed_probes)
    alike: dict[tuple[tuple[str, ...], bool], list[str]] = {}
    for point in ctx.points.values():
        alike.setdefault((point_items(point, sealed), is_turbine_overspeed(ctx, point)), []).append(point.key)
    for (items, with_turbine), keys in alike.items():
        for item in items:
            link = ITEMS[item].link
            owner = MACHINE_MAKER if with_turbine and link == "probe" else owner_of(ctx, link)
            counted.add(item, owner, len(keys), keys)
    if ctx.process and ctx.criticality == "critical":
        inside = [key for key in ctx.points if key in sealed]
        if inside:
            counted.add("installed_spare_probe", owner_of(ctx, "probe"), len(inside), inside)


def _count_hardware(ctx: Context, counted: _Count) -> None:
    boxes, monitor = owner_of(ctx, "junction_box"), owner_of(ctx, "monitor")
    for box in ctx.junction_boxes:
        counted.add("junction_box", boxes, 1, box.points)
    for rack in ctx.racks:
        counted.add("monitor_rack", monitor, 1)
        counted.add("power_supply", monitor, rack.power_supplies)
        counted.add("relay_module", monitor, 1)
        for module in rack.modules:
            held = (channel.point for channel in module.channels if channel.point is not None)
            counted.add(f"monitor_module_{module.kind}", monitor, 1, held)
    for group in ctx.groups.values():
        if group[0].chain == "overspeed_system":
            owner = MACHINE_MAKER if is_turbine_overspeed(ctx, group[0]) else monitor
            counted.add("overspeed_system", owner, 1, (point.key for point in group))
    isolated = [point.key for point in ctx.points.values() if point.protection in INTRINSICALLY_SAFE]
    if isolated:
        counted.add("galvanic_isolator", owner_of(ctx, "isolator"), len(isolated), isolated)


class _Spares:
    """The rule of spares, its criteria read once."""

    def __init__(self, why: Why) -> None:
        self._share = why.criterion("spares.percent")
        self._least = int(why.criterion("spares.minimum"))
        self._module = int(why.criterion("spares.module"))
        self.text = (
            f"Spares once for all trains: {self._share:g} percent of a loose type, at least {self._least}; "
            f"{self._module} of each module and supply; none of what is embedded, mounted or laid."
        )

    def of(self, item: str, total: int) -> int:
        """Return the loose spares of an item of which `total` are fitted over all trains."""
        kind = ITEMS[item].spared
        if kind == LOOSE:
            return max(self._least, share_up(total, self._share))
        return self._module if kind == MODULE else 0


def _description(ctx: Context, area: Area | None, item: str) -> str:
    text = ITEMS[item].description
    if item == "junction_box":
        positions = ctx.junction_boxes[0].positions
        text = f"{text}, {positions} positions"
    elif item == "feed_through":
        gases = ", ".join(ctx.machine.gases)
        text = f"{text}, wetted materials to suit {gases or 'the gas, not told'}"
    elif item == "galvanic_isolator":
        return f"{text}, {area.associated_marking}" if area and area.associated_marking else text
    if area is not None and area.marking is not None and ITEMS[item].in_the_field:
        text = f"{text}; {area.marking}"
    return text


def _cable_lines(ctx: Context, trains: int, reason: int) -> Iterator[BillLine]:
    kinds: dict[str, list[Cable]] = {}
    for cable in ctx.cables:
        kinds.setdefault(cable.kind, []).append(cable)
    for kind, cables in kinds.items():
        lengths_m = [cable.length_m for cable in cables if cable.length_m is not None]
        measured = len(lengths_m) == len(cables)
        quantity = whole_up(sum(lengths_m)) * trains if measured else len(cables) * trains
        description = f"Field cable, shielded {kind}"
        if measured:
            description = f"{description}, {len(cables) * trains} runs"
        points = tuple(point for cable in cables for point in cable.points)
        unit = "m" if measured else _PIECE
        yield BillLine(
            f"field_cable_{kind}",
            description if measured else f"{description}, length not told",
            quantity,
            0,
            unit,
            owner_of(ctx, "field_cable"),
            points,
            (reason,),
        )


@rule(id="BOM-SPR-010", title="Probes that cannot be replaced in service", phase=Phase.BILL)
def installed_spares(ctx: Context) -> Iterator[OpenPoint | str]:
    """A probe inside the gas boundary that fails stays failed until the machine is opened."""
    sealed = ctx.once(sealed_probes)
    inside = [point for key, point in ctx.points.items() if key in sealed]
    if not inside:
        return
    why = ctx.why()
    _read_class(ctx, why, inside)
    count = len(inside)
    if ctx.process and ctx.criticality == "critical":
        text = f"{count} probes in seal housings get an installed spare each, wired to the box."
        why.say(text)
        yield text
        return
    text = (
        f"{count} probes in seal housings have no installed spare in this class: one that fails stays out of "
        "service until the machine is opened."
    )
    reason = why.say(text)
    yield text
    question = f"{text} The owner confirms it."
    yield OpenPoint("installed_spares", "criticality", question, "owner", (reason,))


def _read_class(ctx: Context, why: Why, inside: list[PointDraft]) -> None:
    why.fact("service_class", ctx.machine.service_class)
    why.fact("criticality", ctx.criticality)
    for shaft in {point.shaft.key: point.shaft for point in inside}.values():
        why.fact(shaft.fact_path("probe_location"), "seal_housing")
