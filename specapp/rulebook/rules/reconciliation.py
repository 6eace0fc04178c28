"""Reconciliation: every count of one thing in two places of the proposal, side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from specapp.domain.proposal import ReconciliationLine
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.relays import awaits_maker
from specapp.rulebook.rules.responsibility import links_of_points
from specapp.rulebook.wiring import rack_of_points

Line = ReconciliationLine
_ELEMENTS = (
    "accelerometer",
    "high_frequency_accelerometer",
    "velocity_sensor",
    "resistance_thermometer",
    "speed_sensor",
)
_TRANSMITTERS = ("vibration_transmitter", "position_transmitter")


def _line(statement: str, left: Any, right: Any) -> Line:
    return Line(statement, left, right, left == right)


def _nothing(statement: str, found: int) -> Line:
    return Line(statement, found, 0, found == 0)


class _Bill:
    """Quantities of the bill by item, all owners together."""

    def __init__(self, ctx: Context) -> None:
        self._counts: Counter[str] = Counter()
        for line in ctx.bill:
            self._counts[line.item] += line.quantity

    def of(self, *items: str) -> int:
        """Return how many of these items the bill holds together."""
        return sum(self._counts[item] for item in items)

    def beginning(self, prefix: str) -> int:
        """Return how many items whose name begins so the bill holds together."""
        return sum(count for item, count in self._counts.items() if item.startswith(prefix))


def _trains(ctx: Context) -> int:
    return max(1, len(ctx.machine.trains))


@rule(id="REC-IDX-010", title="Points, index and tags", phase=Phase.RECONCILIATION)
def index_and_tags(ctx: Context) -> Iterator[Line]:
    """A point without a row is never wired; two points with one tag are wired to each other's channel."""
    trains = _trains(ctx)
    tags = [tag for p in ctx.points.values() for tag in (p.tags.values() if p.tags else (p.tag,))]
    yield _line("points, all trains = rows of the instrument index", len(ctx.points) * trains, len(tags))
    yield _line("tags = distinct tags", len(tags), len(set(tags)))


@rule(id="REC-BOM-010", title="Points and bill of materials", phase=Phase.RECONCILIATION)
def bill_of_materials(ctx: Context) -> Iterator[Line]:
    """What the bill lacks is bought in a hurry, and what it has too many of is paid for nothing."""
    trains = _trains(ctx)
    bill = _Bill(ctx)
    types = Counter([p.transducer.type for p in ctx.points.values() if p.transducer is not None])
    probes = types["proximity_probe"] * trains
    electronics = bill.of("oscillator_demodulator", *_TRANSMITTERS)
    yield _line("proximity probes in points = in the bill", probes, bill.beginning("proximity_probe"))
    yield _line("proximity probes = oscillator-demodulators and transmitters", probes, electronics)
    yield _line("proximity probes = extension cables", probes, bill.beginning("extension_cable"))
    yield _line("proximity probes = probe holders", probes, bill.of("probe_holder"))
    for kind in _ELEMENTS:
        count, billed = types[kind] * trains, bill.of(kind)
        if count or billed:
            plural = f"{kind.replace('_', ' ')}s"
            yield _line(f"{plural} in points = in the bill", count, billed)
    isolated = sum(p.protection in INTRINSICALLY_SAFE for p in ctx.points.values()) * trains
    if isolated or bill.of("galvanic_isolator"):
        yield _line(
            "intrinsically safe circuits = galvanic isolators", isolated, bill.of("galvanic_isolator")
        )
    yield _line("junction boxes = in the bill", len(ctx.junction_boxes) * trains, bill.of("junction_box"))
    yield _line("field cables = points", len(ctx.cables), len(ctx.points))
    groups = sum(group[0].chain == "overspeed_system" for group in ctx.groups.values()) * trains
    if groups or bill.of("overspeed_system"):
        yield _line("overspeed groups = overspeed systems", groups, bill.of("overspeed_system"))


@rule(id="REC-RCK-010", title="Points, boxes and racks", phase=Phase.RECONCILIATION)
def boxes_and_racks(ctx: Context) -> Iterator[Line]:
    """A channel short is found at the factory test, when the rack is already built."""
    trains = _trains(ctx)
    bill = _Bill(ctx)
    boxed = Counter([p.junction_box for p in ctx.points.values()])
    yield _nothing("points without a box", boxed[None])
    over = sum(max(0, boxed[box.key] - box.positions) for box in ctx.junction_boxes)
    yield _nothing("points beyond the positions of their box", over)
    monitored = [p.chain for p in ctx.points.values()].count("monitor")
    used = [
        channel.point
        for rack in ctx.racks
        for module in rack.modules
        for channel in module.channels
        if channel.point is not None
    ]
    yield _line("monitored points = channels used", monitored, len(used))
    yield _line("channels used = points with a channel", len(used), len(set(used)))
    if not ctx.racks:
        return
    modules = sum(len(rack.modules) for rack in ctx.racks) * trains
    supplies = sum(rack.power_supplies for rack in ctx.racks) * trains
    yield _line("modules in the racks = in the bill", modules, bill.beginning("monitor_module_"))
    yield _line("racks = in the bill", len(ctx.racks) * trains, bill.of("monitor_rack"))
    yield _line("power supplies = in the bill", supplies, bill.of("power_supply"))
    yield _nothing("thrust votes with two legs on one module", _shared_thrust_modules(ctx))
    yield _nothing("voting groups spread over racks", _spread_groups(ctx))


def _shared_thrust_modules(ctx: Context) -> int:
    shared = 0
    axial = {point.key: point.group for point in ctx.of_quantity("axial_position")}
    for rack in ctx.racks:
        for module in rack.modules:
            groups = [axial[channel.point] for channel in module.channels if channel.point in axial]
            shared += sum([groups.count(group) > 1 for group in set(groups)])
    return shared


def _spread_groups(ctx: Context) -> int:
    racks = ctx.once(rack_of_points)
    votes = [group for group in ctx.groups.values() if len(group) > 1]
    return sum([len({racks.get(point.key) for point in group}) > 1 for group in votes])


@rule(id="REC-CAE-010", title="Trips, effects and relays", phase=Phase.RECONCILIATION)
def trips_and_relays(ctx: Context) -> Iterator[Line]:
    """A trip without an effect is a number on paper; a relay that nobody built trips nothing."""
    tripping = sorted(
        key
        for key, group in ctx.groups.items()
        if any(point.trip is not None for point in group) and not awaits_maker(group[0])
    )
    acting = sorted(row.cause for row in ctx.cause_and_effect if row.level == "trip" and row.effects)
    yield _line("trips = trips with an effect", tripping, acting)
    named = sorted({row.relay for row in ctx.cause_and_effect if row.relay is not None})
    yield _line("relays named = relays in the architecture", named, sorted(relay.key for relay in ctx.relays))


@rule(id="REC-RSP-010", title="Owners of the links", phase=Phase.RECONCILIATION)
def owners(ctx: Context) -> Iterator[Line]:
    """A link with no owner is nobody's job, one with two is an argument."""
    listed = Counter([item.link for item in ctx.responsibility])
    links_by_point = ctx.once(links_of_points)
    # Points of one kind have their links and their owners in common, as the same two objects.
    alike: dict[tuple[int, int], list[str]] = {}
    for key, point in ctx.points.items():
        alike.setdefault((id(links_by_point[key]), id(point.supplied_by)), []).append(key)
    present: set[str] = set()
    unowned = 0
    for keys in alike.values():
        links, owned = links_by_point[keys[0]], ctx.points[keys[0]].supplied_by
        present.update(links)
        unowned += len(keys) * sum([not owned.get(link) for link in links])
    wrong = sum([listed[link] != 1 for link in present]) + unowned
    yield _nothing("links of the chain without exactly one owner", wrong)
