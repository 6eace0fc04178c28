"""What templates write of a proposal: figures in the reader's units, states, standings."""

from collections.abc import Mapping
from typing import Any

from django import template
from django.utils.safestring import SafeString

from specapp.documents.wording import prose
from specapp.domain.proposal import Measure
from specapp.kernel.units import UNITS
from specapp.projects.describing.fields import fact_words
from specapp.projects.presenting import reader
from specapp.projects.presenting.figures import Display, measured
from specapp.rulebook.check_names import candidate_words, check_words

register = template.Library()


@register.filter(name="measured")
def measured_filter(item: Measure | None, display: Display) -> str:
    return measured(item, display)


@register.filter
def unit_symbol(unit: str) -> str:
    """Return a unit as it is printed, µm for um."""
    return UNITS[unit].symbol if unit in UNITS else unit


@register.filter(name="prose")
def prose_filter(text: str) -> str:
    """Return a sentence of the rules with the printed symbols of its units."""
    return prose(text)


@register.filter
def criterion_words(key: str) -> str:
    """Return what governs a setpoint in words, first letter large."""
    return first_large(candidate_words(key))


@register.filter(name="check_words")
def check_words_filter(key: str) -> str:
    return first_large(check_words(key))


@register.filter(name="fact_words")
def fact_words_filter(path: str, machine: Mapping[str, Any]) -> str:
    """Return the path of a fact as the form calls it."""
    return fact_words(path, machine)


def first_large(text: str) -> str:
    return text[:1].upper() + text[1:]


@register.simple_tag
def state(name: str) -> SafeString:
    return reader.state(name)


@register.simple_tag
def status_mark(status: str) -> SafeString:
    return reader.status_mark(status)
