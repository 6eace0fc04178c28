"""Who reads a proposal and how: units, what is asked for, and where its links lead."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.documents import marks
from specapp.projects.describing.fields import fact_words
from specapp.projects.describing.form import fact_entry_id
from specapp.projects.presenting.decisions import NONE_DECIDED, Decisions
from specapp.projects.presenting.figures import Display
from specapp.projects.presenting.why import trace_ref


@dataclass(frozen=True, slots=True)
class Reader:
    """`points_url` is the address that every point's sheet begins with; `edit_url` is empty for readers
    who may not change the description.

    Two who read the same proposal are equal where it looks the same to both; `machine` is of the proposal.
    """

    machine: Mapping[str, Any] = field(compare=False)
    display: Display
    only_needs: bool
    points_url: str
    edit_url: str
    documents_url: str
    decisions: Decisions = NONE_DECIDED

    def drawing(self, key: str) -> str:
        """Return the address of a drawing to be shown in the page."""
        return f"{self.documents_url}{key}/?inline=1"

    def point(self, key: str, text: str) -> SafeString:
        """Return a link to a point's sheet."""
        return SafeString(f'<a class="tag" href="{self.points_url}{quote(key)}/">{escape(text)}</a>')

    def fact(self, path: str) -> SafeString:
        """Return the name of a fact, leading to its field for those who may fill it in."""
        words = escape(fact_words(path, self.machine))
        entry = fact_entry_id(path) if self.edit_url else ""
        return SafeString(f'<a href="{self.edit_url}#{entry}">{words}</a>' if entry else words)


def why(text: str, trace: tuple[int, ...]) -> SafeString:
    """Return a figure that answers "why" where its line has reasons."""
    return why_of(text, trace_ref(trace)) if trace else SafeString(escape(text))


def why_of(text: str, ref: str) -> SafeString:
    link = quote(ref)
    return SafeString(f'<a class="why" href="?why={link}#why" hx-get="?why={link}">{escape(text)}</a>')


def state(name: str) -> SafeString:
    """Return a state as the shape and word that the documents print, "▬ hold"."""
    shape, _, word = marks.state(name).partition(" ")
    return SafeString(
        f'<span class="state state-{name}"><span aria-hidden="true">{shape}</span> {escape(word)}</span>'
    )


def status_mark(status: str) -> SafeString:
    """Return the quiet mark of a value's standing, spelled out for those who point at it or hear it."""
    if status not in marks.STATUS_MARKS:
        return SafeString(f"<small>({escape(status)})</small>" if status else "")
    mark = marks.STATUS_MARKS[status]
    return SafeString(f'<span class="mark" title="{status}" role="img" aria-label="({status})">{mark}</span>')
