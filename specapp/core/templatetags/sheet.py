"""Template tags of the drawing sheet, available in every template."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

ZONES_DOWN = 60

# More ink, more to do: an open circle is settled, a full one fails, a bar has no answer yet.
STATES = {
    "pass": ("○", "pass"),
    "caution": ("◐", "caution"),
    "fail": ("●", "fail"),
    "not_evaluated": ("▬", "not evaluated"),
    "proposed": ("○", "proposed"),
    "placeholder": ("◐", "placeholder"),
    "hold": ("▬", "hold"),
    "holds": ("○", "holds"),
    "differs": ("●", "differs"),
}


@register.simple_tag
def zone_letters() -> SafeString:
    """Empty cells down the side of the sheet; the style sheet letters them."""
    return mark_safe("<i></i>" * ZONES_DOWN)  # noqa: S308  a constant


@register.simple_tag
def state(name: str) -> SafeString:
    """Return a state as a shape and a word."""
    shape, word = STATES[name]
    return format_html(
        '<span class="state state-{}"><span aria-hidden="true">{}</span> {}</span>', name, shape, word
    )
