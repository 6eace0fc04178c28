"""From cause groups through relays to effects: a line for each relay, a dot where something acts on it."""

from __future__ import annotations

from specapp.domain.proposal import CauseAndEffect, Proposal
from specapp.drawings.boxes import Caption, box
from specapp.drawings.scene import Circle, Group, Line, Scene, SceneTable, Shape, Text
from specapp.drawings.symbols import arrow_head
from specapp.drawings.text_extent import shortened
from specapp.drawings.train import positions_of

_MARGIN = 5.0
_NAMES = 56.0
_COLUMN = 27.0
_BOX = 25.5
_ROW = 5.0
_TEXT = 2.9
_DOT = 0.8


def trip_paths_scene(proposal: Proposal, shaft: str | None = None) -> Scene:
    """Return the paths of all causes, or of the causes on one shaft.

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
    x_of = {path: _MARGIN + _NAMES + _COLUMN * (n + 0.5) for n, path in enumerate(paths)}
    right = _MARGIN + _NAMES + _COLUMN * max(len(paths), 1)
    shapes: list[Shape] = [
        Text(_MARGIN, _MARGIN + 3.5, "Causes", 3.2, weight="bold"),
        Text(_MARGIN + _NAMES - 4, _MARGIN + 3.5, "vote", _TEXT, "end"),
    ]
    y = _MARGIN + 6
    first_dot: dict[str, float] = {}
    dots: list[Shape] = []
    for cause in causes:
        y += _ROW
        own = [row for row in rows if row.cause == cause]
        votes = ", ".join(dict.fromkeys(row.voting for row in own if row.level == "trip" and row.voting))
        fed = list(dict.fromkeys(_path(row) for row in own))
        for path in fed:
            first_dot.setdefault(path, y - 1)
        dots.append(_row(cause, cause, votes, [x_of[path] for path in fed], y))
    y += 6
    captions = {path: _caption(proposal, path) for path in paths}
    height = max((caption.height(_BOX) for caption in captions.values()), default=8.0)
    middle = y + height / 2
    bottom = middle + height / 2
    effect_y = {effect: bottom + 11 + _ROW * n for n, effect in enumerate(effects)}
    for path in paths:
        x = x_of[path]
        acted = [effect for effect in effects if any(_path(r) == path and effect in r.effects for r in rows)]
        shapes += [Line(x, first_dot[path], x, middle), arrow_head(x, y, 180.0)]
        if acted:
            shapes.append(Line(x, middle, x, max(effect_y[effect] for effect in acted) - 1))
        shapes.append(
            Group(path, captions[path].spoken, box(captions[path], x - _BOX / 2, middle, _BOX, height))
        )
    shapes.append(Text(_MARGIN, middle + 1, "Relays", 3.2, weight="bold"))
    shapes.append(Text(_MARGIN, bottom + 5.5, "Effects", 3.2, weight="bold"))
    for effect, at in effect_y.items():
        acting = [x_of[path] for path in paths if any(_path(r) == path and effect in r.effects for r in rows)]
        dots.append(_row(f"effect/{effect}", effect.replace("_", " "), "", acting, at))
    return Scene(
        name=f"trip-paths-{shaft}" if shaft else "trip-paths",
        width=right + _MARGIN,
        height=bottom + 11 + _ROW * len(effects) + _MARGIN,
        title=f"Trip paths of {shaft or proposal.machine.get('tag') or 'the machine'}",
        description="Each upright line is a relay; a dot above it marks a cause, a dot below it an effect.",
        shapes=(*shapes, *dots),
        table=_table(rows),
    )


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


def _caption(proposal: Proposal, path: str) -> Caption:
    relay = next((relay for relay in proposal.architecture.relays if relay.key == path), None)
    if relay is None:
        return Caption(path.replace("_", " "), ("no relay",))
    held = "latched" if relay.latched else "not latched"
    return Caption(relay.purpose.replace("_", " "), (relay.rack or relay.key.replace("_", " "), held))


def _row(key: str, name: str, note: str, xs: list[float], y: float) -> Group:
    shapes: list[Shape] = [
        Text(_MARGIN, y, shortened(name, _TEXT, _NAMES - 18), _TEXT),
    ]
    if note:
        shapes.append(Text(_MARGIN + _NAMES - 4, y, shortened(note, _TEXT, 13), _TEXT, "end"))
    if xs:
        shapes.append(Line(_MARGIN + _NAMES - 2, y - 1, max(xs), y - 1, "hair"))
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
