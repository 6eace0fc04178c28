"""The SVG painter: valid, escaped, without inline styles, links by key."""

from __future__ import annotations

import re

import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st

from specapp.drawings.machine_layout import layout_scene
from specapp.drawings.scene import Arc, Circle, Group, Line, Polyline, Rect, Scene, SceneTable, Shape, Text
from specapp.drawings.svg import slug, svg_text
from tests.drawings.every_scene import every_scene
from tests.drawings.sample import sample_proposal

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "</text><script>alert(1)</script>\"'&<!--\x00\x1b\ud800 ]]>"


def scene_of(*shapes: Shape, title: str = "Title") -> Scene:
    return Scene("sketch", 50, 40, title, "Description", shapes, SceneTable((), ()))


@given(st.text(), st.text())
def test_any_text_and_key_make_valid_xml_and_come_back_as_text(text: str, key: str) -> None:
    root = fromstring(svg_text(scene_of(Group(key, text, (Text(1, 2, text),)), title=text)).encode())
    assert [child.tag for child in root] == [f"{SVG}title", f"{SVG}desc", f"{SVG}rect", f"{SVG}g"]


def test_hostile_text_stays_text() -> None:
    painted = svg_text(scene_of(Group(HOSTILE, HOSTILE, (Text(1, 2, HOSTILE),)), title=HOSTILE))
    root = fromstring(painted.encode())
    assert root.find(f".//{SVG}script") is None
    shown = root.find(f".//{SVG}text").text
    assert shown.startswith("</text><script>alert(1)</script>\"'&<!--")
    assert "\x00" not in painted


def test_hostile_names_of_a_machine_stay_text() -> None:
    proposal = sample_proposal(2, names=['"><script>alert(1)</script>', "' onload='alert(1)"], tag="<b>K</b>")
    for scene in every_scene(proposal):
        painted = svg_text(scene, link=lambda key: f'/point?key={key}"><script>')
        root = fromstring(painted.encode())
        assert root.find(f".//{SVG}script") is None
        assert all(not name.startswith("on") for item in root.iter() for name in item.attrib)


def test_no_inline_styles_and_no_repeated_ids() -> None:
    for scene in every_scene(sample_proposal(4)):
        painted = svg_text(scene)
        assert "style" not in painted
        ids = re.findall(r'\bid="([^"]+)"', painted)
        assert len(ids) == len(set(ids))


def test_ids_of_keys_that_slug_alike_stay_apart() -> None:
    twins = [Group(key, key, (Line(0, 0, 1, 1),)) for key in ("A/B", "A-B", "A/B", "A-B-2")]
    ids = [g.get("id") for g in fromstring(svg_text(scene_of(*twins))).iter(f"{SVG}g")]
    assert ids == ["sketch-A-B", "sketch-A-B__2", "sketch-A-B__3", "sketch-A-B-2"]


def test_an_image_without_links_a_group_with_them() -> None:
    scene = scene_of(Group("P1", "Shaft P1", (Line(0, 0, 1, 1),)), Group("JB-1", "Box", (Line(0, 0, 1, 1),)))
    plain = fromstring(svg_text(scene))
    assert plain.get("role") == "img"
    assert plain.get("aria-label") == "Title"
    linked = fromstring(svg_text(scene, link={"P1": "/shafts/P1"}.get))
    anchors = list(linked.iter(f"{SVG}a"))
    assert linked.get("role") == "group"
    assert [(a.get("href"), a.get("aria-label")) for a in anchors] == [("/shafts/P1", "Shaft P1")]


def test_a_link_inside_a_link_is_left_out() -> None:
    inner = Group("inner", "Inner", (Line(0, 0, 1, 1),))
    painted = svg_text(scene_of(Group("outer", "Outer", (inner,))), link=lambda key: f"/{key}")
    assert len(list(fromstring(painted).iter(f"{SVG}a"))) == 1


def test_shapes_are_painted_where_they_lie() -> None:
    painted = svg_text(
        scene_of(
            Line(1, 2, 3.456, 4, "chain"),
            Rect(1, 2, 3, 4, "hatch"),
            Circle(5, 6, 2, "ink"),
            Polyline(((0, 0), (1, 0), (1, 1)), closed=True),
            Arc(10, 10, 5, 0, 90),
            Text(7, 8, "P1", 3, "end", "bold", 90),
        )
    )
    assert 'x2="3.46"' in painted
    assert 'stroke-dasharray="4 0.9 0.7 0.9"' in painted
    assert '<circle cx="5" cy="6" r="2" fill="#141414"' in painted
    assert '<polygon points="0,0 1,0 1,1"' in painted
    # From the top, a quarter turn clockwise, ends on the right.
    assert "M10 5A5 5 0 0 1 15 10" in painted
    assert 'text-anchor="end" font-weight="bold" transform="rotate(90 7 8)"' in painted
    assert 'viewBox="0 0 50 40"' in painted


@pytest.mark.parametrize(
    ("key", "expected"),
    [("P1/P1-1/radial/Y", "P1-P1-1-radial-Y"), ("a b", "a-b"), ("../..", "x"), ("", "x")],
)
def test_slugs(key: str, expected: str) -> None:
    assert slug(key) == expected


def test_the_layout_is_a_valid_document_with_title_and_description() -> None:
    root = fromstring(svg_text(layout_scene(sample_proposal(2))))
    assert root.find(f"{SVG}title").text == "Machine layout of K-4410"
    assert root.find(f"{SVG}desc").text
