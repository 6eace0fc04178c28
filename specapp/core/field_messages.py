"""What a form says of a field that cannot be taken: what was found, and what is allowed.

Django's own messages tell neither. A message that a form or a field states itself is kept.
"""

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core import validators

_MOST_NAMED = 12
_SOMETHING = "something else"
_STATED = re.compile(r"Allowed: (.+)\.")  # what a field states itself
_KINDS: tuple[tuple[type[forms.Field], str], ...] = (
    (forms.EmailField, "an e-mail address such as name@example.org"),
    (forms.URLField, "an address that begins with https://"),
    (forms.DateTimeField, "a date and a time such as 2026-03-31 14:30"),
    (forms.DateField, "a date such as 2026-03-31"),
    (forms.TimeField, "a time such as 14:30"),
    (forms.IntegerField, "a whole number"),
    (forms.BooleanField, "ticked"),
    (forms.FileField, "a file that is not empty"),
)


def tell(field: forms.Field, found: str = _SOMETHING) -> None:
    """Put this project's messages in the place of Django's, in a field; `found` is what was typed."""
    stock, allowed = _stock_messages(field), allowed_text(field)
    for code, text in _messages(field, found, allowed).items():
        if field.error_messages.get(code) == stock.get(code) and not _is_stated(field, code):
            field.error_messages[code] = text


def allowed_text(field: forms.Field) -> str:
    """Return what a field takes, in words: "a whole number from 1 to 10"."""
    if isinstance(field, forms.ChoiceField | forms.ModelChoiceField):
        return _choices_text(field)
    if stated := _STATED.fullmatch(str(field.error_messages.get("invalid", ""))):
        return stated[1]
    for kind, text in _KINDS:
        # A number with a fraction is a kind of whole number to Django.
        if isinstance(field, kind) and not isinstance(field, forms.FloatField | forms.DecimalField):
            return text + (_range_text(field) if kind is forms.IntegerField else "")
    if isinstance(field, forms.IntegerField | forms.DecimalField):
        return f"a number{_range_text(field)}"
    least, most = getattr(field, "min_length", None), getattr(field, "max_length", None)
    between = f"of {least} to {most}" if least and most else f"of at most {most}" if most else ""
    between = between or (f"of at least {least}" if least else "")
    return f"a text {between} characters" if between else "a text"


def _range_text(field: forms.Field) -> str:
    least, most = getattr(field, "min_value", None), getattr(field, "max_value", None)
    if least is not None and most is not None:
        return f" from {least:g} to {most:g}"
    if least is not None:
        return f" of {least:g} or more"
    return f" of at most {most:g}" if most is not None else ""


def _choices_text(field: forms.ChoiceField | forms.ModelChoiceField) -> str:
    several = isinstance(field, forms.MultipleChoiceField | forms.ModelMultipleChoiceField)
    lead = "one or more of" if several else "one of"
    if isinstance(field, forms.ModelChoiceField):
        return f"{lead} those in the list"
    names = [str(name) for value, name in _flat(field.choices) if value != ""]
    if 0 < len(names) <= _MOST_NAMED:
        return f"{lead}: {', '.join(names)}"
    return f"{lead} those in the list"


def _flat(choices: Any) -> list[tuple[Any, Any]]:
    flat: list[tuple[Any, Any]] = []
    for value, name in choices:
        flat += name if isinstance(name, list | tuple) else [(value, name)]
    return flat


def _messages(field: forms.Field, found_text: str, allowed: str) -> Mapping[str, str]:
    """Return messages by Django's codes; those with percent signs are written with an error's parameters."""
    plain = f"allowed: {allowed}."
    nothing = "Found no tick" if isinstance(field, forms.BooleanField) else "Found nothing"
    told = allowed.replace("%", "%%")
    wrong = f"Found {found_text}; {plain}"
    found = {
        "required": f"{nothing}; {plain}",
        "invalid": wrong,
        "null_characters_not_allowed": f"Found a null character; {plain}",
        "max_length": f"Found %(show_value)d characters; allowed: {told}.",
        "min_length": f"Found %(show_value)d characters; allowed: {told}.",
        "max_value": f"Found %(show_value)s; allowed: {told}.",
        "min_value": f"Found %(show_value)s; allowed: {told}.",
    }
    if isinstance(field, forms.ChoiceField | forms.ModelChoiceField):
        one = "%(value)s" if found_text == _SOMETHING else found_text.replace("%", "%%")
        found["invalid_choice"] = f"Found {one}; allowed: {told}."
        found["invalid_list"] = f"Found something else than a list; {plain}"
        found["invalid_pk_value"] = wrong.replace("%", "%%")
    if isinstance(field, forms.ModelChoiceField):
        found["invalid_choice"] = wrong.replace("%", "%%")
    if isinstance(field, forms.DecimalField):
        found |= {
            "max_digits": f"Found more than %(max)s digits; allowed: {told}.",
            "max_decimal_places": f"Found more than %(max)s digits after the point; allowed: {told}.",
            "max_whole_digits": f"Found more than %(max)s digits before the point; allowed: {told}.",
        }
    if isinstance(field, forms.FileField):
        found |= {
            "missing": f"Found no file; {plain}",
            "empty": f"Found an empty file; {plain}",
            "max_length": "Found a file name of %(length)d characters; allowed: at most %(max)d.",
            "contradiction": "Found a file and the tick that takes it off; allowed: one of the two.",
        }
    return found


def _stock_messages(field: forms.Field) -> dict[str, Any]:
    stock: dict[str, Any] = {}
    for kind in reversed(type(field).__mro__):
        if kind.__module__.startswith("django."):
            stock |= getattr(kind, "default_error_messages", {})
    return stock


def _is_stated(field: forms.Field, code: str) -> bool:
    """Tell whether a validator of that code has a message of its own."""
    return any(getattr(each, "code", None) == code and not _is_stock(each) for each in field.validators)


def _is_stock(validator: Any) -> bool:
    kind = type(validator)
    return kind.__module__ == validators.__name__ and validator.message == kind.message
