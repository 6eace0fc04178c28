"""Path converters of the addresses."""

from django.urls import register_converter
from django.urls.converters import IntConverter, StringConverter


class IdConverter(IntConverter):
    """A row number that a database can hold; a longer one would be a fault instead of "not found"."""

    regex = "[0-9]{1,18}"


class AnswerConverter(StringConverter):
    """What is answered to a value that waits to be confirmed again."""

    regex = "confirm|undo"


def register() -> None:
    register_converter(IdConverter, "id")
    register_converter(AnswerConverter, "answer")
