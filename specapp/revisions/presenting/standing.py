"""Whether revisions are current, as far as a person may know."""

from collections.abc import Iterable
from dataclasses import dataclass

from specapp.core.models import User
from specapp.revisions.models import Revision
from specapp.revisions.readers import issues_read_by
from specapp.revisions.selectors import replaced_by


@dataclass(frozen=True, slots=True)
class Standing:
    """A revision, and what took its place.

    That it is superseded is told to everybody who has it, for nobody may go on working to it; `by` is None
    where nothing took its place, or what did was not sent to the person.
    """

    revision: Revision
    is_superseded: bool
    by: Revision | None


def standings(revisions: Iterable[Revision], person: User) -> dict[int, Standing]:
    """Return how revisions stand, by their key and in the order given."""
    found = [(revision, replaced_by(revision)) for revision in revisions]
    issues = issues_read_by(person).filter(pk__in=[by.issue_id for _, by in found if by])
    known = set(issues.values_list("pk", flat=True))
    return {
        row.pk: Standing(row, by is not None, by if by and by.issue_id in known else None)
        for row, by in found
    }
