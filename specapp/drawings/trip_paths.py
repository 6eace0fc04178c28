"""From cause groups through relays to effects: a line for each relay, a dot where something acts on it."""

from __future__ import annotations

from specapp.domain.proposal import CauseAndEffect, Proposal
from specapp.drawings.scene import Circle, Group, Line, Rect, Scene, SceneTable, Shape, Text
from specapp.drawings.symbols import arrow_head
from specapp.drawings.text_extent import shortened, text_width_mm
from specapp.drawings.train import positions_of

_MARGIN = 5.0
_NARROW = 140.0
_VOTE = 13.0
_ROW = 4.3
_BETWEEN_SHAFTS = 1.8
_TEXT = 2.9
_DOT = 0.8
_RELAY_TEXT = 2.7
_RELAY_BOX = 7.0
_TALLEST_BOX = 60.0


def trip_paths_scene(proposal: Proposal, shaft: str | None = None, width_mm: float = 240.0) -> Scene:
    """Return the paths of all causes, or of the causes on one shaft; under 140 mm wide for a phone.

    The sheet is as wide as its relays need, which the width only presses together.

    Raises
    ------
    KeyError
        If a shaft is named that the proposal does not have.
    """
    if shaft is not None and shaft not in {p.shaft for p in proposal.points} | {
        line.name for line in proposal.shafts
    }:
        raise KeyError(shaft)
    rows = _rows(proposal, shaft)
    causes = list(dict.fromkeys(row.cause for row in rows))
    paths = _paths(proposal, rows)
    effects = list(dict.fromkeys(effect for row in rows for effect in row.effects))
    names, column = _columns(causes, effects, len(paths), width_mm)
    x_of = {path: _MARGIN + names + column * (n + 0.5) for n, path in enumerate(paths)}
    right = _MARGIN + names + column * max(len(paths), 1)
    shapes: list[Shape] = [
        Text(_MARGIN, _MARGIN + 3.5, "Causes", 3.2, weight="bold"),
        Text(_MARGIN + names - 3, _MARGIN + 3.5, "vote", _TEXT, "end"),
    ]
    y = _MARGIN + 5
    first_dot: dict[str, float] = {}
    dots: list[Shape] = []
    shaft_of = {point.voting_group: point.shaft for point in proposal.points}
    before = shaft_of.get(causes[0]) if causes else None
    for cause in causes:
        on = shaft_of.get(cause)
        y += _ROW if on == before else _ROW + _BETWEEN_SHAFTS
        before = on
        own = [row for row in rows if row.cause == cause]
        votes = ", ".join(dict.fromkeys(row.voting for row in own if row.level == "trip" and row.voting))
        fed = list(dict.fromkeys(_path(row) for row in own))
        for path in fed:
            first_dot.setdefault(path, y - 1)
        dots.append(_row(cause, cause, votes, [x_of[path] for path in fed], y, names))
    y += 6
    captions = {path: _caption(proposal, path) for path in paths}
    height = max((_box_height(caption) for caption in captions.values()), default=8.0)
    bottom = y + height
    effect_y = {effect: bottom + 11 + _ROW * n for n, effect in enumerate(effects)}
    for path in paths:
        x = x_of[path]
        acted = [effect for effect in effects if any(_path(r) == path and effect in r.effects for r in rows)]
        shapes += [Line(x, first_dot[path], x, y), arrow_head(x, y, 180.0)]
        if acted:
            shapes.append(Line(x, bottom, x, max(effect_y[effect] for effect in acted) - 1))
        shapes.append(Group(path, ", ".join(captions[path]), _relay(captions[path], x, y, height)))
    shapes.append(Text(_MARGIN, y + height / 2 + 1, "Relays", 3.2, weight="bold"))
    shapes.append(Text(_MARGIN, bottom + 5.5, "Effects", 3.2, weight="bold"))
    for effect, at in effect_y.items():
        acting = [x_of[path] for path in paths if any(_path(r) == path and effect in r.effects for r in rows)]
        dots.append(_row(f"effect/{effect}", effect.replace("_", " "), "", acting, at, names))
    return Scene(
        name=f"trip-paths-{shaft}" if shaft else "trip-paths",
        width=right + _MARGIN,
        height=bottom + 11 + _ROW * len(effects) + _MARGIN,
        title=f"Trip paths of {shaft or proposal.machine.get('tag') or 'the machine'}",
        description="Each upright line is a relay; a dot above it marks a cause, a dot below it an effect.",
        shapes=(*shapes, *dots),
        table=_table(rows),
    )


def _columns(causes: list[str], effects: list[str], paths: int, width_mm: float) -> tuple[float, float]:
    """Return the width of the names, votes beside the causes, and the pitch of the relays."""
    is_narrow = width_mm < _NARROW
    longest = _longest(causes) + _VOTE
    longest = max(longest, _longest([effect.replace("_", " ") for effect in effects]) + 1.0)
    names = round(3.0 + min(longest, 46.0 if is_narrow else 70.0), 1)
    if not is_narrow:
        return names, 12.0
    room = width_mm - 2 * _MARGIN - names
    return names, round(min(10.0, max(_RELAY_BOX + 0.4, room / max(paths, 1))), 1)


def _longest(words: list[str]) -> float:
    return max((text_width_mm(text, _TEXT) for text in words), default=0.0)


def _rows(proposal: Proposal, shaft: str | None) -> list[CauseAndEffect]:
    if shaft is None:
        return list(proposal.cause_and_effect)
    keys = {
        point.key
        for position in positions_of(proposal)
        if position.shaft == shaft
        for point in position.points
    }
    return [row for row in proposal.cause_and_effect if keys.intersection(row.points)]


def _path(row: CauseAndEffect) -> str:
    """Return the relay of a row, or where it acts without one."""
    return row.relay or row.acts_in


def _paths(proposal: Proposal, rows: list[CauseAndEffect]) -> list[str]:
    used = list(dict.fromkeys(_path(row) for row in rows))
    relays = [relay.key for relay in proposal.architecture.relays]
    return [key for key in relays if key in used] + [key for key in used if key not in relays]


def _caption(proposal: Proposal, path: str) -> tuple[str, str]:
    """Return what a relay is for, and where it is with how it holds."""
    relay = next((relay for relay in proposal.architecture.relays if relay.key == path), None)
    if relay is None:
        return path.replace("_", " "), "no relay of a rack"
    place = relay.rack or relay.key.rpartition("/")[0] or relay.key
    held = "latched" if relay.latched else "not latched"
    return relay.purpose.replace("_", " "), f"{place.replace('_', ' ')}, {held}"


def _box_height(caption: tuple[str, str]) -> float:
    head, place = caption
    wanted = max(text_width_mm(head, _RELAY_TEXT, bold=True), text_width_mm(place, _RELAY_TEXT))
    return min(wanted + 3.0, _TALLEST_BOX)


def _relay(caption: tuple[str, str], x: float, top: float, height: float) -> tuple[Shape, ...]:
    """Return a relay as an upright box, its words read from below."""
    head, place = caption
    foot, room = top + height - 1.5, height - 3.0
    return (
        Rect(x - _RELAY_BOX / 2, top, _RELAY_BOX, height, fill="paper"),
        Text(
            x - 0.6, foot, shortened(head, _RELAY_TEXT, room, bold=True), _RELAY_TEXT, "start", "bold", -90.0
        ),
        Text(x + 2.6, foot, shortened(place, _RELAY_TEXT, room), _RELAY_TEXT, rotation=-90.0),
    )


def _row(key: str, name: str, note: str, xs: list[float], y: float, names: float) -> Group:
    shapes: list[Shape] = [Text(_MARGIN, y, shortened(name, _TEXT, names - (_VOTE if note else 3)), _TEXT)]
    if note:
        shapes.append(Text(_MARGIN + names - 3, y, shortened(note, _TEXT, _VOTE - 4), _TEXT, "end"))
    if xs:
        shapes.append(Line(_MARGIN + names - 2, y - 1, max(xs), y - 1, "hair"))
    shapes += [Circle(x, y - 1, _DOT, fill="ink", line="none") for x in xs]
    return Group(key, f"{name} {note}".strip(), tuple(shapes))


def _table(rows: list[CauseAndEffect]) -> SceneTable:
    return SceneTable(
        ("Cause", "Level", "Vote", "Acts through", "Effects"),
        tuple(
            (
                row.cause,
                (
                    row.cause,
                    row.level.replace("_", " "),
                    row.voting or "-",
                    _path(row),
                    ", ".join(effect.replace("_", " ") for effect in row.effects),
                ),
            )
            for row in rows
        ),
    )
