"""What templates write of a proposal: figures in the reader's units, states, standings."""

from django import template
from django.utils.safestring import SafeString

from specapp.domain.proposal import Measure
from specapp.kernel.units import UNITS
from specapp.projects.presenting import reader
from specapp.projects.presenting.figures import Display, measured

register = template.Library()


@register.filter(name="measured")
def measured_filter(item: Measure | None, display: Display) -> str:
    return measured(item, display)


@register.filter
def unit_symbol(unit: str) -> str:
    """Return a unit as it is printed, µm for um."""
    return UNITS[unit].symbol if unit in UNITS else unit


@register.simple_tag
def state(name: str) -> SafeString:
    return reader.state(name)


@register.simple_tag
def status_mark(status: str) -> SafeString:
    return reader.status_mark(status)
