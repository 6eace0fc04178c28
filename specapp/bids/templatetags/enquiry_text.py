"""Words of enquiries set for reading."""

import re

from django import template
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

register = template.Library()


@register.filter
def breakable(key: str) -> SafeString:
    """Return an id that may break behind a stroke or an underscore and nowhere else."""
    parts = re.split(r"(?<=[/_])", key)
    return format_html_join("", "{}<wbr>", ((part,) for part in parts))
