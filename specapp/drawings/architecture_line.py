"""The measuring and protection chain as a single line, read from left to right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from specapp.domain.proposal import Proposal, Relay
from specapp.drawings.boxes import Caption, box, cable, cable_height, trunk
from specapp.drawings.chains import Chain, chains_of
from specapp.drawings.link_blocks import link_blocks
from specapp.drawings.scene import Group, Line, Scene, SceneTable, Shape, Text
from specapp.drawings.symbols import arrow

_MARGIN = 5.0
_TOP = 14.0
_ROW_GAP = 4.0
_TRANSDUCER = 38.0
_EXTENSION = 24.0
_ELECTRONICS = 40.0
_FIELD = 30.0
_ISOLATOR = 24.0
_SHORT = 6.0
_RECEIVER = 33.0
_BUS = 11.0
_RELAY = 38.0
_SYSTEM = 32.0
_EFFECTS = 40.0


@dataclass(frozen=True, slots=True)
class _Columns:
    transducer: float
    electronics: float
    field: float
    isolator: float | None
    receiver: float
    relay: float
    system: float
    effects: float
    right: float


def architecture_scene(proposal: Proposal) -> Scene:
    """Return the single-line diagram with one line for each chain, and its table."""
    return _chains(proposal, with_links=True)


def architecture_sheets(
    proposal: Proposal, width_mm: float, height_mm: float, least_scale: float
) -> tuple[Scene, ...]:
    """Return the single line for a sheet, the links of the racks on another where it prints too small."""
    whole = architecture_scene(proposal)
    if min(width_mm / whole.width, height_mm / whole.height) >= least_scale:
        return (whole,)
    chains = _chains(proposal, with_links=False)
    shapes, foot = link_blocks(proposal.architecture, _MARGIN, _MARGIN, whole.width - _MARGIN)
    if not shapes:
        return (chains,)
    links = Scene(
        name="architecture-links",
        width=whole.width,
        height=foot + _MARGIN,
        title=f"Supplies and links of {_machine(proposal)}",
        description="Each rack between what comes in on its left and what leaves it on its right.",
        shapes=tuple(shapes),
        table=SceneTable((), ()),
    )
    return chains, links


def _machine(proposal: Proposal) -> str:
    return str(proposal.machine.get("tag") or "the machine")


def _chains(proposal: Proposal, *, with_links: bool) -> Scene:
    chains = chains_of(proposal)
    columns = _columns(any(chain.isolator for chain in chains), bool(proposal.architecture.relays))
    shapes: list[Shape] = []
    y = _TOP + 2
    middles: list[float] = []
    for chain in chains:
        height, reach = _row_height(chain)
        middle = y + max(height / 2, reach)
        shapes.append(_row(chain, columns, middle))
        middles.append(middle)
        y = middle + height / 2 + _ROW_GAP
    right, right_bottom = _protection(proposal, chains, middles, columns)
    shapes += right
    y = max(y, right_bottom)
    shapes += _boundary(proposal, columns, y)
    if with_links:
        foot, y = link_blocks(proposal.architecture, y + 4, _MARGIN, columns.right)
        shapes += foot
    return Scene(
        name="architecture",
        width=columns.right + _MARGIN,
        height=y + _MARGIN,
        title=f"Measuring chains of {_machine(proposal)}, single line",
        description=(
            "One line for each kind of chain from transducer to receiver, then relays, shutdown system "
            "and effects; the chain line marks the edge of the hazardous area."
        ),
        shapes=tuple(shapes),
        table=_table(chains),
    )


def _columns(with_isolators: bool, with_relays: bool) -> _Columns:
    transducer = _MARGIN
    electronics = transducer + _TRANSDUCER + _EXTENSION
    field = electronics + _ELECTRONICS
    after = field + _FIELD
    isolator = after if with_isolators else None
    receiver = after + (_ISOLATOR + _SHORT if with_isolators else 0.0)
    relay = receiver + _RECEIVER + _BUS
    system = relay + (_RELAY + _BUS if with_relays else 0.0)
    effects = system + _SYSTEM + _SHORT
    return _Columns(
        transducer, electronics, field, isolator, receiver, relay, system, effects, effects + _EFFECTS
    )


def _row_height(chain: Chain) -> tuple[float, float]:
    """Return the height of the tallest box, and the room a cable's caption needs above the line."""
    boxes = [
        chain.transducer.height(_TRANSDUCER),
        chain.electronics.height(_ELECTRONICS),
        chain.receiver.height(_RECEIVER),
        chain.isolator.height(_ISOLATOR) if chain.isolator else 0.0,
    ]
    captions = [cable_height(chain.field_cable, _FIELD)]
    captions.append(cable_height(chain.extension or "own cable", _EXTENSION))
    return max(boxes), max(captions)


def _row(chain: Chain, at: _Columns, y: float) -> Group:
    shapes: list[Shape] = [
        *box(chain.transducer, at.transducer, y, _TRANSDUCER),
        *cable(chain.extension or "own cable", at.transducer + _TRANSDUCER, at.electronics, y),
        *box(chain.electronics, at.electronics, y, _ELECTRONICS),
        *cable(chain.field_cable, at.field, at.field + _FIELD, y),
    ]
    if at.isolator is not None and chain.isolator is not None:
        shapes += box(chain.isolator, at.isolator, y, _ISOLATOR)
        shapes += arrow(at.isolator + _ISOLATOR, y, at.receiver, y)
    elif at.isolator is not None:
        shapes += arrow(at.isolator, y, at.receiver, y)
    shapes.append(
        Group(chain.receiver_key, chain.receiver.spoken, box(chain.receiver, at.receiver, y, _RECEIVER))
    )
    return Group(chain.key, ", ".join(link for link in chain.links if link != "-"), tuple(shapes))


def _protection(
    proposal: Proposal, chains: tuple[Chain, ...], middles: list[float], at: _Columns
) -> tuple[list[Shape], float]:
    """Relays, the systems they act on, and the effects; trips above annunciation."""
    trip_relays = {row.relay for row in proposal.cause_and_effect if row.level == "trip" and row.relay}
    relays = proposal.architecture.relays
    ordered = [r for r in relays if r.key in trip_relays] + [r for r in relays if r.key not in trip_relays]
    y = _TOP + 2
    shapes: list[Shape] = []
    relay_y: dict[str, float] = {}
    for relay in ordered:
        caption = _relay_caption(relay)
        height = caption.height(_RELAY)
        relay_y[relay.key] = y + height / 2
        shapes.append(Group(relay.key, caption.spoken, box(caption, at.relay, y + height / 2, _RELAY)))
        y += height + 3
    relayed = tuple(middle for chain, middle in zip(chains, middles, strict=True) if chain.relays)
    unrelayed = tuple(middle for chain, middle in zip(chains, middles, strict=True) if not chain.relays)
    trips = tuple(relay_y[r.key] for r in ordered if r.key in trip_relays)
    told = tuple(relay_y[r.key] for r in ordered if r.key not in trip_relays)
    bus = at.receiver + _RECEIVER
    if relay_y:
        shapes.append(Text(at.relay, _MARGIN + 4, "Relays, driven as the trip paths tell", 2.6))
        shapes += trunk(bus + 5, relayed, tuple(relay_y.values()), bus, at.relay)
    direct = unrelayed if relay_y else tuple(middles)
    trip_effects = _effects(proposal, "trip")
    other_effects = tuple(effect for effect in _effects(proposal, "alarm") if effect not in trip_effects)
    systems = (
        ("shutdown_system", Caption("Shutdown system", ("trips",)), trips, trip_effects),
        ("annunciation", Caption("Control system", ("alarms",)), told, other_effects),
    )
    bottom = y
    top = _TOP + 2
    for key, caption, feeding, effects in systems:
        if not effects:
            continue
        listed = Caption("Effects" if key == "shutdown_system" else "Annunciation", effects)
        height = max(caption.height(_SYSTEM), listed.height(_EFFECTS))
        wanted = sum(feeding) / len(feeding) if feeding else top + height / 2
        middle = max(wanted, top + height / 2)
        shapes.append(Group(key, caption.spoken, box(caption, at.system, middle, _SYSTEM, height)))
        shapes += arrow(at.system + _SYSTEM, middle, at.effects, middle)
        shapes.append(
            Group(f"{key}/effects", listed.spoken, box(listed, at.effects, middle, _EFFECTS, height))
        )
        if feeding:
            shapes += trunk(at.relay + _RELAY + 6, feeding, (middle,), at.relay + _RELAY, at.system)
        elif direct and (key == "shutdown_system" or not relay_y):
            shapes += trunk(bus + 5, direct, (middle,), bus, at.system)
        top = middle + height / 2 + 4
        bottom = max(bottom, top)
    return shapes, bottom


def _relay_caption(relay: Relay) -> Caption:
    manner = [relay.normally.replace("_", " "), "latched" if relay.latched else "not latched"]
    place = relay.rack or relay.key.rpartition("/")[0] or relay.key
    return Caption(relay.purpose.replace("_", " "), (place, ", ".join(part for part in manner if part)))


def _effects(proposal: Proposal, level: str) -> tuple[str, ...]:
    effects = [effect for row in proposal.cause_and_effect if row.level == level for effect in row.effects]
    return tuple(dict.fromkeys(effect.replace("_", " ") for effect in effects))


def _boundary(proposal: Proposal, at: _Columns, bottom: float) -> list[Shape]:
    area = proposal.machine.get("hazardous_area")
    if not isinstance(area, Mapping) or ("zone" not in area and "division" not in area):
        return [Text(_MARGIN, _MARGIN + 4, "Area unclassified", 3.2, weight="bold")]
    x = at.field + _FIELD - 2.5
    kind = f"zone {area['zone']}" if area.get("zone") is not None else f"division {area.get('division')}"
    group, temperature = area.get("gas_group") or "", area.get("temperature_class") or ""
    words = " ".join(part for part in (f"Hazardous area, {kind}", str(group), str(temperature)) if part)
    return [
        Line(x, _MARGIN, x, bottom, "chain"),
        Text(x - 2, _MARGIN + 4, words, 3.2, "end", "bold"),
        Text(x + 2, _MARGIN + 4, "Safe area", 3.2, weight="bold"),
    ]


def _table(chains: tuple[Chain, ...]) -> SceneTable:
    return SceneTable(
        ("Transducer", "Extension cable", "Electronics", "Field cable", "Isolator", "Receiver", "Relays"),
        tuple((chain.key, (*chain.links, ", ".join(chain.relays) or "-")) for chain in chains),
    )
