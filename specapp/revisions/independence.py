"""Whether a person may check or approve: not with a change of one's own since the last issue."""

from django.db.models import Q

from specapp.core.models import AuditEntry, User
from specapp.projects.models import Machine

_OF_MACHINE = ("machine.create", "machine.update", "decisions.carry")
_OF_DECISIONS = "override."
_OF_CRITERIA = ("criterion.set", "criterion.withdraw")
_MOST_NAMED = 5


def changes_by(person: User, machine: Machine, after_entry: int) -> list[AuditEntry]:
    """Return what a person has changed of a machine, its overrides and criteria after an entry of the record.

    A proposal that was adopted is an override set by who adopted it. The first few are named.
    """
    described = Q(action__in=_OF_MACHINE, object_type=Machine._meta.label_lower, object_id=machine.pk)
    decided = Q(action__startswith=_OF_DECISIONS, data__machine=machine.pk)
    inherited = Q(
        action__startswith=_OF_DECISIONS, object_type=Machine._meta.label_lower, object_id=machine.pk
    )
    project = Q(action__in=_OF_CRITERIA)
    entries = AuditEntry.objects.filter(
        described | decided | inherited | project,
        project_id=machine.project_id,
        actor=person,
        pk__gt=after_entry,
    )
    return list(entries.order_by("pk")[:_MOST_NAMED])


def change_named(entry: AuditEntry) -> str:
    """Return a change in words, with its date."""
    words = {
        "machine.create": "described the machine",
        "machine.update": "changed the description",
        "decisions.carry": "changed the description",
    }
    what = words.get(entry.action)
    if what is None:
        verb = entry.action.rpartition(".")[2]
        what = f"{verb} {entry.object_name}"
    return f"{what} on {entry.at:%Y-%m-%d}"
