"""Text as HTML, for the places where a template would be too slow: schedules and long forms."""

import re
from html import escape as html_escape

from django.utils.safestring import SafeString

_SPECIAL = re.compile("[&<>\"']")


def escape(text: str) -> str:
    """Return a text as HTML; most texts have nothing to escape."""
    return html_escape(text) if _SPECIAL.search(text) else text


def as_markup(text: str) -> str:
    """Return markup as it is and any other text escaped."""
    return text if isinstance(text, SafeString) else escape(text)
