"""Rows of projects: the project and its machines, and what people decide about them."""

from specapp.projects.models.deciding import (
    CriterionConfirmation,
    DescriptionDraft,
    Override,
    ProjectCriterion,
    SetpointState,
    SetpointValue,
)
from specapp.projects.models.inviting import Invitation
from specapp.projects.models.projects import Machine, Membership, PageSize, Project, validate_time_zone

__all__ = [
    "CriterionConfirmation",
    "DescriptionDraft",
    "Invitation",
    "Machine",
    "Membership",
    "Override",
    "PageSize",
    "Project",
    "ProjectCriterion",
    "SetpointState",
    "SetpointValue",
    "validate_time_zone",
]
