"""Paint a scene as SVG text: same scene, same bytes.

Only presentation attributes are used, never ``style``, so the drawing shows under a content
security policy that forbids inline styles. Ink stays dark on a light sheet in every page scheme.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from math import cos, radians, sin

from specapp.drawings.hatching import hatch_lines
from specapp.drawings.scene import (
    LINE_PATTERN_MM,
    LINE_WIDTH_MM,
    Arc,
    Circle,
    Fill,
    Group,
    Line,
    LineKind,
    Polyline,
    Rect,
    Scene,
    Shape,
    Text,
)

INK = "#141414"
PAPER = "#ffffff"
_FONT = "DejaVu Sans Condensed, DejaVu Sans, Verdana, sans-serif"
# Characters that XML 1.0 forbids even when escaped.
_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_ENTITIES = str.maketrans(
    {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;", "\t": " ", "\n": " ", "\r": " "}
)
_NOT_SLUG = re.compile(r"[^A-Za-z0-9]+")

Link = Callable[[str], str | None]


def svg_text(scene: Scene, *, link: Link | None = None) -> str:
    """Return the scene as an SVG document (UTF-8 when written, no XML declaration).

    ``link`` gives the address a group leads to by its key, or None. With links the drawing is a
    group of links to assistive technology, else one image.
    """
    return _Painter(scene, link).document()


def laid_over(document: str, scene: Scene, shapes: tuple[Shape, ...], *, link: Link) -> str:
    """Return the document of a scene, painted without links, with more shapes over it.

    The same text as painting the scene with these shapes as its last ones, in the time of painting them
    alone; ``link`` leads nowhere from what the scene itself shows.
    """
    before, _, _ = document.rpartition("</svg>")
    over = _Painter(scene, link)._shapes(shapes, linked=False)
    return "\n".join([before.replace('role="img"', 'role="group"', 1).rstrip("\n"), *over, "</svg>"]) + "\n"


def escaped(text: str) -> str:
    """Return text safe between tags and in double-quoted attributes of XML and HTML."""
    if not text.isprintable():
        text = _FORBIDDEN.sub("\ufffd", text)
    return text.translate(_ENTITIES)


def slug(text: str) -> str:
    """Return an id-safe form of a key: ``P1/P1-1/radial/Y`` becomes ``P1-P1-1-radial-Y``."""
    return _NOT_SLUG.sub("-", text).strip("-") or "x"


def _number(value: float) -> str:
    text = repr(round(float(value), 2)).removesuffix(".0")
    return "0" if text == "-0" else text


class _Painter:
    def __init__(self, scene: Scene, link: Link | None) -> None:
        self._scene = scene
        self._link = link
        self._taken: dict[str, int] = {}

    def document(self) -> str:
        scene = self._scene
        name = slug(scene.name)
        width, height = _number(scene.width), _number(scene.height)
        role = "img" if self._link is None else "group"
        opening = (
            f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" class="drawing" role="{role}"'
            f' aria-label="{escaped(scene.title)}" width="{width}mm" height="{height}mm"'
            f' viewBox="0 0 {width} {height}" font-family="{_FONT}" fill="none" stroke="none"'
            ' stroke-linecap="round" stroke-linejoin="round">'
        )
        lines = [
            opening,
            f"<title>{escaped(scene.title)}</title>",
            f"<desc>{escaped(scene.description)}</desc>",
            f'<rect x="0" y="0" width="{width}" height="{height}" fill="{PAPER}"/>',
            *self._shapes(scene.shapes, linked=False),
            "</svg>",
        ]
        return "\n".join(lines) + "\n"

    def _shapes(self, shapes: tuple[Shape, ...], *, linked: bool) -> list[str]:
        lines: list[str] = []
        for shape in shapes:
            if isinstance(shape, Group):
                lines += self._group(shape, linked=linked)
            else:
                lines += _painted(shape)
        return lines

    def _group(self, group: Group, *, linked: bool) -> list[str]:
        href = self._link(group.key) if self._link and not linked else None
        body = self._shapes(group.shapes, linked=linked or href is not None)
        opening = (
            f'<g id="{self._id(group.key)}" data-key="{escaped(group.key)}">'
            f"<title>{escaped(group.label)}</title>"
        )
        if href is None:
            return [opening, *body, "</g>"]
        anchor = f'<a href="{escaped(href)}" aria-label="{escaped(group.label)}">'
        return [anchor, opening, *body, "</g>", "</a>"]

    def _id(self, key: str) -> str:
        """Return an id unique in the document: an item may be drawn in two views."""
        wanted = f"{slug(self._scene.name)}-{slug(key)}"
        count = self._taken.get(wanted, 0) + 1
        self._taken[wanted] = count
        if count == 1:
            return wanted
        # Two underscores cannot come out of a slug, so this id is never another key's.
        return f"{wanted}__{count}"


def _stroke(line: LineKind) -> str:
    if line == "none":
        return ""
    pattern = " ".join(_number(part) for part in LINE_PATTERN_MM[line])
    dashes = f' stroke-dasharray="{pattern}" stroke-linecap="butt"' if pattern else ""
    return f' stroke="{INK}" stroke-width="{_number(LINE_WIDTH_MM[line])}"{dashes}'


def _filled(fill: Fill) -> str:
    if fill == "ink":
        return f' fill="{INK}"'
    return "" if fill == "none" else f' fill="{PAPER}"'


def _painted(shape: Line | Polyline | Rect | Circle | Arc | Text) -> list[str]:
    if isinstance(shape, Line):
        return [_line(shape)]
    if isinstance(shape, Text):
        return [_text(shape)]
    if isinstance(shape, Arc):
        return [_arc(shape)]
    return _area(shape)


def _area(shape: Polyline | Rect | Circle) -> list[str]:
    if isinstance(shape, Polyline):
        points = " ".join(f"{_number(x)},{_number(y)}" for x, y in shape.points)
        geometry = f'<{"polygon" if shape.closed else "polyline"} points="{points}"'
    elif isinstance(shape, Rect):
        geometry = (
            f'<rect x="{_number(shape.x)}" y="{_number(shape.y)}"'
            f' width="{_number(shape.width)}" height="{_number(shape.height)}"'
        )
    else:
        geometry = f'<circle cx="{_number(shape.x)}" cy="{_number(shape.y)}" r="{_number(shape.radius)}"'
    if shape.fill != "hatch":
        return [f"{geometry}{_filled(shape.fill)}{_stroke(shape.line)}/>"]
    path = "".join(
        f"M{_number(h.x1)} {_number(h.y1)}L{_number(h.x2)} {_number(h.y2)}" for h in hatch_lines(shape)
    )
    hatching = [f'<path d="{path}"{_stroke("hair")}/>'] if path else []
    return [f'{geometry} fill="{PAPER}"/>', *hatching, f"{geometry}{_stroke(shape.line)}/>"]


def _line(line: Line) -> str:
    return (
        f'<line x1="{_number(line.x1)}" y1="{_number(line.y1)}" x2="{_number(line.x2)}"'
        f' y2="{_number(line.y2)}"{_stroke(line.line)}/>'
    )


def _arc(arc: Arc) -> str:
    start, end = radians(arc.start_deg), radians(arc.start_deg + arc.sweep_deg)
    x1, y1 = arc.x + arc.radius * sin(start), arc.y - arc.radius * cos(start)
    x2, y2 = arc.x + arc.radius * sin(end), arc.y - arc.radius * cos(end)
    large, clockwise = int(abs(arc.sweep_deg) > 180), int(arc.sweep_deg > 0)
    radius = _number(arc.radius)
    return (
        f'<path d="M{_number(x1)} {_number(y1)}A{radius} {radius} 0 {large} {clockwise}'
        f' {_number(x2)} {_number(y2)}"{_stroke(arc.line)}/>'
    )


def _text(text: Text) -> str:
    x, y = _number(text.x), _number(text.y)
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    weight = "" if text.weight == "normal" else ' font-weight="bold"'
    turn = f' transform="rotate({_number(text.rotation)} {x} {y})"' if text.rotation else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_number(text.size_mm)}"{anchor}{weight}{turn}'
        f' fill="{INK}">{escaped(text.text)}</text>'
    )
