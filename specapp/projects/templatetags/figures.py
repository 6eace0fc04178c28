"""Filters that write the proposal's figures in the reader's units, and references to their reasons."""

import re
from collections.abc import Mapping
from typing import Any

from django import template

from specapp.documents.wording import plain
from specapp.domain.proposal import Measure
from specapp.projects.describing.fields import DESCRIPTION, fact_words
from specapp.projects.describing.form import entry_id
from specapp.projects.presenting.figures import Display, measured
from specapp.projects.presenting.why import trace_ref

register = template.Library()


@register.filter(name="measured")
def measured_filter(item: Measure | None, display: Display) -> str:
    return measured(item, display)


@register.filter
def plain_value(value: object) -> str:
    return plain(value)


@register.filter
def counted(value: object) -> str:
    """Return a count, or how many a list holds."""
    return f"{len(value)} listed" if isinstance(value, list | tuple) else plain(value)


@register.filter
def as_fact(path: str, machine: Mapping[str, Any]) -> str:
    return fact_words(path, machine)


@register.filter
def fact_field(path: str) -> str:
    """Return the id of the form field in which a fact is told; empty where it has none."""
    leaf = re.sub(r"\[\d+\]", "", path)
    name, _, rest = leaf.partition(".")
    known = path in DESCRIPTION.fields or (name in DESCRIPTION.rows and rest in DESCRIPTION.rows[name].fields)
    return entry_id(path) if known else ""


@register.filter
def why_ref(trace: tuple[int, ...]) -> str:
    return trace_ref(trace)
