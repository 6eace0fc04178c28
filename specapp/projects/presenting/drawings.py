"""The drawings of a machine as a page shows them: the scene of the documents, its links, its table."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from urllib.parse import quote

from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.domain.proposal import Proposal
from specapp.drawings.architecture_line import architecture_scene
from specapp.drawings.chain_column import chain_keys, chain_scene
from specapp.drawings.chains import chains_of
from specapp.drawings.frequency_map import frequency_map_scene
from specapp.drawings.machine_layout import layout_scene, shaft_names, shaft_scene
from specapp.drawings.rack_schedule import COLUMNS, rack_schedules
from specapp.drawings.scene import Scene, SceneTable
from specapp.drawings.setpoint_scale import setpoint_scale_scene
from specapp.drawings.svg import svg_text
from specapp.drawings.train import positions_of
from specapp.drawings.trip_paths import trip_paths_scene
from specapp.projects.kept import kept_beside
from specapp.projects.presenting.tables import Column, GroupRow, Row, Table

# What a phone held upright shows at full size, with the margins of the page [mm at 96 to the inch].
PHONE_WIDTH_MM = 96.0
_EVERYWHERE, _DESK, _PHONE = "", "desk-only", "phone-only"
KINDS = {
    "arrangement": "General arrangement",
    "chain": "Chain",
    "racks": "Racks",
    "setpoints": "Setpoint scales",
    "frequencies": "Frequency map",
    "trips": "Trip paths",
}
ALL = "all"
_RACK_COLUMNS = [Column(title, "nowrap" if title == "Tag" else "") for title in COLUMNS]


@dataclass(frozen=True, slots=True)
class Links:
    """Where the items of a drawing lead to; `points_url` is what every point's sheet begins with."""

    points_url: str
    page_url: str
    points: Mapping[str, str]
    chains: frozenset[str]

    def address(self, key: str) -> str | None:
        """Return the address of an item: a point, the first point of a group or position, a chain."""
        point = self.points.get(key)
        if point is not None:
            return f"{self.points_url}{quote(point)}/"
        return f"{self.page_url}?show=chain&chain={quote(key)}" if key in self.chains else None


@dataclass(frozen=True)
class Picture:
    """One drawing with the table that says the same; `style` tells on which screens it is shown."""

    scene: Scene
    links: Links
    style: str = _EVERYWHERE

    @cached_property
    def html(self) -> SafeString:
        """Return the drawing, in a region that scrolls, and its table behind a heading."""
        title = escape(self.scene.title)
        table = scene_table(f"Table: {self.scene.title}", self.scene.table, self.links).html()
        return SafeString(
            f'<figure class="picture {self.style}"><figcaption>{title}</figcaption>'
            f'<div class="paper" tabindex="0" role="region" aria-label="{title}">'
            f"{svg_text(self.scene, link=self.links.address)}</div>"
            f'<details class="group"><summary><span>The same as a table</span>'
            f" <small>{len(self.scene.table.rows)}</small></summary>"
            f'<div class="body">{table}</div></details></figure>'
        )


@dataclass(frozen=True, slots=True)
class Choice:
    """A list from which one shaft or one chain is chosen."""

    name: str
    label: str
    options: Sequence[tuple[str, str]]
    chosen: str
    style: str = _EVERYWHERE


@dataclass(frozen=True, slots=True)
class Drawing:
    """One kind of drawing: its pictures, what may be chosen in it, or the schedules that stand for it."""

    key: str
    title: str
    pictures: Sequence[Picture] = ()
    choice: Choice | None = None
    schedules: Sequence[Table] = ()
    points: Sequence[SafeString] = ()


@kept_beside(32)
def links_of(proposal: Proposal, points_url: str, page_url: str) -> Links:
    """Return the links of a machine's drawings."""
    found = {position.key: position.points[0].key for position in positions_of(proposal)}
    for point in reversed(proposal.points):
        found[point.voting_group] = point.key
    found.update((point.key, point.key) for point in proposal.points)
    return Links(points_url, page_url, found, frozenset(chain_keys(proposal)))


def scene_table(label: str, table: SceneTable, links: Links) -> Table:
    """Return the table of a scene, its first column leading to what the row is about."""
    return Table(label, [Column(title) for title in table.columns], _linked_rows(table, links))


def _linked_rows(table: SceneTable, links: Links) -> list[Row]:
    return [Row((_linked(cells[0], links.address(key)), *cells[1:])) for key, cells in table.rows]


def _linked(text: str, address: str | None) -> str:
    return text if address is None else SafeString(f'<a href="{escape(address)}">{escape(text or "–")}</a>')


@kept_beside(64)
def drawing(
    proposal: Proposal, kind: str, points_url: str, page_url: str, shaft: str = "", chain: str = ""
) -> Drawing:
    """Return one kind of drawing; `shaft` and `chain` are what the reader chose, empty for none.

    Raises `KeyError` where the proposal has no such shaft or chain.
    """
    return _MAKERS[kind](proposal, links_of(proposal, points_url, page_url), shaft, chain)


def every_drawing(proposal: Proposal, points_url: str, page_url: str) -> list[Drawing]:
    """Return every drawing of a machine, each shaft's scales and nothing to choose, for printing."""
    links = links_of(proposal, points_url, page_url)
    whole = [
        _shown("arrangement", layout_scene(proposal), links),
        _shown("chain", architecture_scene(proposal), links),
        _racks(proposal, links, "", ""),
    ]
    scales = [Picture(setpoint_scale_scene(proposal, name), links) for name in _drawn_shafts(proposal)]
    whole.append(Drawing("setpoints", KINDS["setpoints"], scales))
    whole.append(_shown("frequencies", frequency_map_scene(proposal), links))
    whole.append(_shown("trips", trip_paths_scene(proposal), links))
    return whole


def _shown(key: str, scene: Scene, links: Links) -> Drawing:
    return Drawing(key, KINDS[key], (Picture(scene, links),))


def _drawn_shafts(proposal: Proposal) -> tuple[str, ...]:
    """Return the shafts that have frequencies, setpoints or trips to draw."""
    known = {line.name for line in proposal.shafts} | {point.shaft for point in proposal.points}
    return tuple(name for name in shaft_names(proposal) if name in known)


def _chosen_shaft(names: Sequence[str], proposal: Proposal, shaft: str, style: str) -> Choice:
    if shaft and shaft not in names:
        raise KeyError(shaft)
    makers = {line.name: line.maker_name for line in proposal.shafts}
    options = [(name, f"{name}, {makers[name]}" if makers.get(name) else name) for name in names]
    return Choice("shaft", "Shaft", options, shaft or names[0], style)


def _desk_and_phone(
    proposal: Proposal,
    key: str,
    links: Links,
    names: Sequence[str],
    shaft: str,
    whole: Scene,
    one: Callable[[str], Scene],
) -> Drawing:
    choice = _chosen_shaft(names, proposal, shaft, _PHONE)
    narrow = one(choice.chosen)
    # A scene of one shaft has the name of its wide one: two drawings of one page need two names.
    narrow = replace(narrow, name=f"{narrow.name}-narrow")
    pictures = (Picture(whole, links, _DESK), Picture(narrow, links, _PHONE))
    return Drawing(key, KINDS[key], pictures, choice)


def _arrangement(proposal: Proposal, links: Links, shaft: str, chain: str) -> Drawing:
    whole = layout_scene(proposal)

    def one(name: str) -> Scene:
        return shaft_scene(proposal, name)

    return _desk_and_phone(proposal, "arrangement", links, shaft_names(proposal), shaft, whole, one)


def _frequencies(proposal: Proposal, links: Links, shaft: str, chain: str) -> Drawing:
    whole = frequency_map_scene(proposal)

    def one(name: str) -> Scene:
        return frequency_map_scene(proposal, name, PHONE_WIDTH_MM)

    turning = {line.shaft for line in proposal.frequencies}
    names = [name for name in _drawn_shafts(proposal) if name in turning]
    return _desk_and_phone(proposal, "frequencies", links, names, shaft, whole, one)


def _trips(proposal: Proposal, links: Links, shaft: str, chain: str) -> Drawing:
    whole = trip_paths_scene(proposal)

    def one(name: str) -> Scene:
        return trip_paths_scene(proposal, name, PHONE_WIDTH_MM)

    return _desk_and_phone(proposal, "trips", links, _drawn_shafts(proposal), shaft, whole, one)


def _setpoints(proposal: Proposal, links: Links, shaft: str, chain: str) -> Drawing:
    choice = _chosen_shaft(_drawn_shafts(proposal), proposal, shaft, _EVERYWHERE)
    wide = setpoint_scale_scene(proposal, choice.chosen)
    narrow = setpoint_scale_scene(proposal, choice.chosen, PHONE_WIDTH_MM)
    narrow = replace(narrow, name=f"{narrow.name}-narrow")
    pictures = (Picture(wide, links, _DESK), Picture(narrow, links, _PHONE))
    return Drawing("setpoints", KINDS["setpoints"], pictures, choice)


def _chain(proposal: Proposal, links: Links, shaft: str, chain: str) -> Drawing:
    chains = {item.key: item for item in chains_of(proposal)}
    if chain and chain not in chains:
        raise KeyError(chain)
    if not chains:
        return _shown("chain", architecture_scene(proposal), links)
    options = [(key, item.transducer.spoken) for key, item in chains.items()]
    choice = Choice("chain", "Chain", options, chain or options[0][0], _EVERYWHERE if chain else _PHONE)
    style = _EVERYWHERE if chain else _PHONE
    column = Picture(chain_scene(proposal, choice.chosen), links, style)
    whole = () if chain else (Picture(architecture_scene(proposal), links, _DESK),)
    shown = chains[chain].points if chain else ()
    members = [
        SafeString(f'<a class="tag" href="{links.address(point.key)}">{escape(point.tag)}</a>')
        for point in shown
    ]
    return Drawing("chain", KINDS["chain"], (*whole, column), choice, points=members)


def _racks(proposal: Proposal, links: Links, shaft: str, chain: str) -> Drawing:
    schedules = []
    for rack in rack_schedules(proposal):
        rows: list[Row | GroupRow] = []
        for module in rack.modules:
            rows.append(GroupRow(module.title))
            rows += _linked_rows(module.table, links)
        caption = f"Rack {rack.key}: {rack.note}"
        schedules.append(Table(f"Rack {rack.key}", _RACK_COLUMNS, rows, caption=caption))
    return Drawing("racks", KINDS["racks"], schedules=schedules)


_MAKERS: Mapping[str, Callable[[Proposal, Links, str, str], Drawing]] = {
    "arrangement": _arrangement,
    "chain": _chain,
    "racks": _racks,
    "setpoints": _setpoints,
    "frequencies": _frequencies,
    "trips": _trips,
}
