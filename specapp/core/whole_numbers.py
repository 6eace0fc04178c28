"""Whole numbers as forms and addresses send them."""

from collections.abc import Mapping


def whole_number(text: str, otherwise: int = 0, *, digits: int = 9) -> int:
    """Return a number of at most so many digits, `otherwise` for anything else that can be sent."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= digits else otherwise


def version_in(post: Mapping[str, str], name: str = "version") -> int:
    """Return the version that a form was made from; 0, which no row has, where it says none."""
    return whole_number(post.get(name, ""))
