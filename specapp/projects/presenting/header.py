"""What every page of one machine shows around its content: name, title block, unit switch."""

from typing import Any

from specapp.core.display import CHOICES
from specapp.documents.wording import setting_units
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access
from specapp.projects.models import Machine


def machine_context(access: Access, machine: Machine, proposal: Proposal, chosen: str) -> dict[str, Any]:
    """Return the context common to the pages of a machine; `chosen` is the reader's choice of units."""
    return {
        "access": access,
        "project": access.project,
        "machine": machine,
        "proposal": proposal,
        "verdict": proposal.verdict,
        "display": chosen if chosen in ("si", "us") else None,
        "display_chosen": chosen,
        "display_choices": CHOICES,
        "setting_units_word": setting_units(proposal),
        "to_confirm": proposal.verdict.values_to_confirm,
    }
