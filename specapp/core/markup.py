"""Text as HTML, for the places where a template would be too slow: schedules and long forms."""

import re
from html import escape as html_escape
from html import unescape

from django.utils.safestring import SafeString

_LINE = re.compile(r"<br\s*/?>|</(?:li|p|div)>", re.IGNORECASE)
_ELEMENT = re.compile("<[^>]*>")
_SPECIAL = re.compile("[&<>\"']")


def escape(text: str) -> str:
    """Return a text as HTML; most texts have nothing to escape."""
    return html_escape(text) if _SPECIAL.search(text) else text


def as_markup(text: str) -> str:
    """Return markup as it is and any other text escaped."""
    return text if isinstance(text, SafeString) else escape(text)


def plain_text(text: str) -> str:
    """Return a cell of a page as text for a file: markup without its elements, lines parted by semicolons."""
    if not isinstance(text, SafeString):
        return text
    lines = [" ".join(unescape(_ELEMENT.sub("", line)).split()) for line in _LINE.split(text)]
    return "; ".join(line for line in lines if line)
