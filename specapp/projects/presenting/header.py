"""What every page of one machine shows around its content: name, title block, unit switch."""

from typing import Any

from django.urls import reverse

from specapp.core.display import CHOICES
from specapp.documents.wording import setting_units
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access
from specapp.projects.models import Machine
from specapp.projects.presenting.decisions import NONE_DECIDED, Decisions
from specapp.projects.presenting.figures import Display
from specapp.projects.presenting.reader import Reader
from specapp.rulebook.verdict import overrides_waiting


def machine_context(access: Access, machine: Machine, proposal: Proposal, chosen: str) -> dict[str, Any]:
    """Return the context common to the pages of a machine; `chosen` is the reader's choice of units."""
    return {
        "access": access,
        "project": access.project,
        "machine": machine,
        "proposal": proposal,
        "verdict": proposal.verdict,
        "display": chosen_display(chosen),
        "display_chosen": chosen,
        "display_choices": CHOICES,
        "setting_units_word": setting_units(proposal),
        "overrides_waiting": overrides_waiting(proposal.overrides),
        "to_confirm": proposal.verdict.values_to_confirm,
    }


def chosen_display(chosen: str) -> Display:
    """Return the units to convert to, None for those things are set in."""
    return chosen if chosen in ("si", "us") else None


def machine_reader(
    access: Access,
    machine: Machine,
    proposal: Proposal,
    chosen: str,
    only_needs: bool,
    decisions: Decisions = NONE_DECIDED,
) -> Reader:
    """Return who reads this proposal and how."""
    place = (access.project.pk, machine.pk)
    return Reader(
        machine=proposal.machine,
        display=chosen_display(chosen),
        only_needs=only_needs,
        points_url=reverse("projects:machine-show", args=place) + "points/",
        edit_url=reverse("projects:machine-edit", args=place) if access.may_edit_machines else "",
        documents_url=reverse("projects:document-list", args=place),
        decisions=decisions,
    )
