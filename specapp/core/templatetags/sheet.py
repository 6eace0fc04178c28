"""Template tags of the drawing sheet, available in every template."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from specapp.documents import marks, wording

register = template.Library()

ZONES_DOWN = 60


@register.simple_tag
def zone_letters() -> SafeString:
    """Empty cells down the side of the sheet; the style sheet letters them."""
    return mark_safe("<i></i>" * ZONES_DOWN)  # noqa: S308  a constant


@register.simple_tag
def state(name: str) -> SafeString:
    """Return a state as the shape and word that the documents print, "▬ hold"."""
    shape, _, word = marks.state(name).partition(" ")
    return format_html(
        '<span class="state state-{}"><span aria-hidden="true">{}</span> {}</span>', name, shape, word
    )


@register.filter
def in_words(name: str | None) -> str:
    """Return a name of the documents as words."""
    return wording.words(name)


@register.simple_tag
def status_mark(status: str) -> SafeString:
    """Return the quiet mark of a value's standing, spelled out for those who point at it or hear it."""
    if status not in marks.STATUS_MARKS:
        return format_html("<small>({})</small>", status) if status else SafeString("")
    return format_html(
        '<span class="mark" title="{}" role="img" aria-label="({})">{}</span>',
        status,
        status,
        marks.STATUS_MARKS[status],
    )
