"""What a person has typed into a description and not saved: kept, given back, forgotten.

A draft is that person's own and changes nothing that others see, so no record of actions is made of it.
"""

from collections.abc import Mapping
from datetime import datetime

from django.db import IntegrityError, transaction

from specapp.core.models import User
from specapp.projects.models import DescriptionDraft, Machine, Project


def draft_of(*, project: Project, machine: Machine | None, person: User) -> DescriptionDraft | None:
    """Return what a person has typed and not saved for a machine, or for a new one."""
    return DescriptionDraft.objects.filter(project=project, machine=machine, person=person).first()


def draft_keep(
    *,
    project: Project,
    machine: Machine | None,
    person: User,
    typed: Mapping[str, str],
    version: int,
    now: datetime,
) -> None:
    """Keep what was typed in place of what was kept before."""
    own = DescriptionDraft.objects.filter(project=project, machine=machine, person=person)
    told = {"typed": dict(typed), "version": version, "typed_at": now}
    if own.update(**told):
        return
    try:
        with transaction.atomic():
            DescriptionDraft.objects.create(project=project, machine=machine, person=person, **told)
    except IntegrityError:  # another window of the same person was quicker
        own.update(**told)


def draft_forget(*, project: Project, machine: Machine | None, person: User) -> None:
    DescriptionDraft.objects.filter(project=project, machine=machine, person=person).delete()
