"""Template tags of the drawing sheet, available in every template."""

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from django import template
from django.utils.safestring import SafeString, mark_safe

from specapp.core.list_files import file_links
from specapp.documents import wording

register = template.Library()

ZONES_DOWN = 60


@register.simple_tag
def zone_letters() -> SafeString:
    """Empty cells down the side of the sheet; the style sheet letters them."""
    return mark_safe("<i></i>" * ZONES_DOWN)  # noqa: S308  a constant


@register.filter
def in_words(name: str | None) -> str:
    """Return a name of the documents as words."""
    return wording.words(name)


@register.simple_tag
def querystring_of(**parameters: str) -> str:
    """Return parameters as the query of an address."""
    return urlencode(parameters)


@register.simple_tag(takes_context=True)
def list_files(context: Mapping[str, Any], key: str, label: str) -> SafeString:
    """Return the links to a list of this page as files."""
    return file_links(context["request"].GET, key, label)


@register.filter
def problem_count(errors: Mapping[str, Sequence[str]]) -> int:
    """Return how many problems a form has; one field may have several."""
    return sum(map(len, errors.values()))
