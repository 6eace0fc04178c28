"""Instrument tags by ISA-5.1 letters, the machine's number and the place on the machine."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from specapp.domain.proposal import Check
from specapp.rulebook.context import Assign, Context, PointDraft
from specapp.rulebook.registry import Phase, rule

_LETTERS = {
    "radial_vibration": ("VE", "VT"),
    "casing_vibration": ("VE", "VT"),
    "axial_position": ("ZE", "ZT"),
    "phase_reference": ("YE", "YE"),
    "bearing_temperature": ("TE", "TT"),
    "winding_temperature": ("TE", "TT"),
    "overspeed": ("SE", "ST"),
    "speed": ("SE", "ST"),
}
LONGEST_TAG = 40
_SEPARATORS = re.compile(r"[ \-_./]+")
# Letters that a plate or a faded print turns into figures.
_LOOK_ALIKE = str.maketrans("OIQL", "0101")


@dataclass(frozen=True, slots=True)
class _Number:
    """The machine's own number in a tag: what stands before the letters, and what behind them."""

    area: str
    machine: str


def _number(tag: str) -> _Number:
    """Return the machine's number without its equipment letters.

    K-4410 gives 4410, 21-K-4012 gives 21 and 4012; a tag with no figure in it is kept whole.
    """
    parts = [part for part in _SEPARATORS.split(tag) if part]
    letters = next((index for index, part in enumerate(parts) if not part[0].isdigit()), None)
    if letters is None or not any(char.isdigit() for part in parts[letters:] for char in part):
        return _Number("", "-".join(parts))
    first = parts[letters].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz")
    rest = [part for part in (first, *parts[letters + 1 :]) if part]
    return _Number("-".join(parts[:letters]), "-".join(rest))


def _place(point: PointDraft, dashed: frozenset[str]) -> str:
    """Return the place of a point on the machine without its suffix: P11, B1C, P1, BGTA, MW.

    The points of a voting group have it in common. ``dashed`` names the pinions whose bearings keep
    their dash, because another pinion is called like them with a figure behind.
    """
    shaft = point.shaft.key.upper()
    if point.quantity in ("overspeed", "speed"):
        return f"{shaft}{'S' if point.quantity == 'overspeed' else 'N'}"
    if point.quantity == "winding_temperature":
        return f"{shaft}W"
    if point.bearing is None:
        if point.quantity == "bearing_temperature":
            # N for the inactive side: an I reads as a figure.
            face = "A" if "/active/" in point.key else "N"
            return f"{shaft}T{face}"
        return shaft
    bearing = point.bearing.key.upper()
    if point.shaft.kind == "pinion" and shaft not in dashed:
        bearing = f"{shaft}{point.bearing.side}"
    return f"{bearing}C" if point.quantity == "casing_vibration" else bearing


def _dashed(ctx: Context) -> frozenset[str]:
    names = [shaft.key.upper() for shaft in ctx.shafts.values() if shaft.kind == "pinion"]
    return frozenset(
        name
        for name in names
        if any(other != name and other.startswith((f"{name}1", f"{name}2")) for other in names)
    )


@rule(
    id="TAG-ISA-010",
    title="Tags",
    phase=Phase.TAGS,
    source="ISA-5.1, identification letters",
    edition="2009",
    status="published",
)
def tags(ctx: Context) -> Iterator[Assign]:
    """One name on drawing, cable, channel and screen lets people talk about the same probe."""
    why = ctx.why()
    number = _number(why.fact("tag", ctx.machine.tag))
    trains = why.fact("trains", list(ctx.machine.trains))
    dashed = _dashed(ctx)
    places: dict[str, str] = {}
    for group in ctx.groups.values():
        place = _place(group[0], dashed)
        for point in group:
            places[point.key] = place + point.suffix if point.quantity != "casing_vibration" else place
    reason = why.say(
        "Letters: V vibration, Z position, S speed, T temperature, Y phase reference (a project choice), "
        "then E for an element or T for a transmitter; the machine's number; the place on the machine."
    )
    longest = max((len(place) for place in places.values()), default=0)
    machine = _shortened(number, longest, trains)
    prefix = f"{machine.area}-" if machine.area else ""
    middle = f"-{machine.machine}" if machine.machine else ""
    by_train = {train: f"{middle}{_joined(machine.machine, train)}" for train in trains}
    for key, point in ctx.points.items():
        letters, place = f"{prefix}{_LETTERS[point.quantity][point.chain == 'transmitter']}", places[key]
        values: dict[str, object] = {"tag": f"{letters}{middle}-{place}"}
        if trains:
            values["tags"] = {train: f"{letters}{text}-{place}" for train, text in by_train.items()}
        yield Assign((point,), values, reason)


def _joined(machine: str, train: str) -> str:
    """Return a train's letter as it follows the number; a figure keeps a dash between."""
    return train if machine and machine[-1].isdigit() and train[0].isalpha() else f"-{train}"


def _shortened(number: _Number, longest_place: int, trains: list[str]) -> _Number:
    """Return the number cut so that no tag is longer than allowed; its end tells machines apart."""
    train = max((len(label) + 1 for label in trains), default=0)
    room = LONGEST_TAG - len("-VE-") - len("-") - longest_place - train
    if len(number.area) + len(number.machine) <= room:
        return number
    machine = f"{number.area}-{number.machine}".strip("-")[-room:].strip("-")
    return _Number("", machine)


@rule(id="TAG-LAL-010", title="Tags that look alike", phase=Phase.TAGS)
def look_alike_tags(ctx: Context) -> Iterator[Check]:
    """A technician who reads O for 0 or I for 1 opens the wrong loop."""
    seen: dict[str, str] = {}
    pairs: list[str] = []
    tags = [point.tag for point in ctx.points.values()]
    # Folded all at once: a tag has no line break.
    folded = "\n".join(tags).upper().translate(_LOOK_ALIKE).split("\n")
    for tag, alike in zip(tags, folded, strict=True):
        other = seen.setdefault(alike, tag)
        if other != tag:
            pairs.append(f"{other} and {tag}")
    if not pairs:
        return
    why = ctx.why()
    why.fact("tag", ctx.machine.tag)
    text = f"Tags that look alike on a plate: {'; '.join(pairs)}."
    remedies = ("Rename a pinion so that letters and figures cannot be taken for each other.",)
    yield Check("tags.look_alike", "machine", "caution", None, None, text, remedies, None, (why.say(text),))
