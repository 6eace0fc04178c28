"""Start-up checks of what the program knows: rules registered once, criteria with their edition."""

from importlib import import_module
from typing import Any

from django.core.checks import CheckMessage, Error, Info, register

from specapp.criteria.loader import CriteriaSet, load_defaults
from specapp.rulebook.registry import DuplicateRule

COMMON_PRACTICE, FROM_MEMORY = "common practice", "from memory"


@register()
def rules_are_registered_once(**kwargs: Any) -> list[CheckMessage]:
    """Import every rule; the registry refuses an id that is taken."""
    try:
        import_module("specapp.rulebook.rules")
    except DuplicateRule as error:
        return [
            Error(str(error), hint="Ids are never used again: give the new rule its own.", id="specapp.E001")
        ]
    return []


@register()
def criteria_are_cited(**kwargs: Any) -> list[CheckMessage]:
    return check_criteria(load_defaults())


def check_criteria(criteria: CriteriaSet) -> list[CheckMessage]:
    """Return an error for each sourced criterion without an edition, and how many are from memory."""
    found = list(criteria)
    messages: list[CheckMessage] = [
        Error(f"Criterion {item.key} names a source and no edition.", id="specapp.E002")
        for item in found
        if item.status != COMMON_PRACTICE and not item.edition
    ]
    recalled = sum(item.status == FROM_MEMORY for item in found)
    if recalled:
        text = (
            f"{recalled} of {len(found)} criteria in use are from memory, to be confirmed by a licensed copy."
        )
        messages.append(Info(text, id="specapp.I001"))
    return messages
