"""Path converters of the addresses."""

from django.urls import register_converter
from django.urls.converters import IntConverter


class IdConverter(IntConverter):
    """A row number that a database can hold; a longer one would be a fault instead of "not found"."""

    regex = "[0-9]{1,18}"


def register() -> None:
    register_converter(IdConverter, "id")
