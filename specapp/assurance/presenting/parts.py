"""The parts a page of assurance is made of, and the cells they share."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.documents.marks import HALF
from specapp.documents.schedules import Schedule
from specapp.documents.trip_words import Function, small
from specapp.projects.presenting.tables import Block, schedules_in

_BAR_WIDTH = 120


@dataclass(frozen=True)
class Part:
    """A part of a page: its heading, a note beside it, its blocks."""

    key: str
    title: str
    blocks: Sequence[Block]
    note: str = ""

    @cached_property
    def lists(self) -> Mapping[str, Schedule]:
        """The lists of the part that go out as files."""
        return schedules_in(self.key.replace("-", "_"), self.blocks)

    def html(self) -> SafeString:
        return SafeString("".join(block.html() for block in self.blocks))


def probability(function: Function, value: float | None) -> SafeString:
    """Return a figure of a function; one on placeholder data is marked as an illustration."""
    text = escape(small(value))
    if function["basis"] != "placeholder" or value is None:
        return SafeString(text)
    return SafeString(
        f'<span class="illustration" title="illustration, on placeholder failure data">'
        f'<span aria-hidden="true">{HALF}</span> {text}'
        '<span class="visually-hidden"> (illustration)</span></span>'
    )


def share_bar(share: float) -> SafeString:
    """Return a share as a bar with its percentage."""
    width = max(0.0, min(1.0, share)) * _BAR_WIDTH
    return SafeString(
        f'<span class="share"><svg width="{_BAR_WIDTH}" height="10" aria-hidden="true" focusable="false">'
        f'<rect class="share-frame" width="{_BAR_WIDTH}" height="10"/>'
        f'<rect class="share-part" width="{width:.1f}" height="10"/></svg> {share:.0%}</span>'
    )


def link(url: str, text: str) -> SafeString:
    """Return a link whose text stays on one line."""
    return SafeString(f'<a class="tag" href="{escape(url)}">{escape(text)}</a>')
