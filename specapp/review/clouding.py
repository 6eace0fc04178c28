"""What a revision on the desk changes against the issue it replaces, for the clouds on its drawings."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from specapp.documents.changes import Changes, changes_between
from specapp.revisions.content import content_of
from specapp.revisions.models import Revision, State
from specapp.revisions.services.signing import last_issued

_KEPT = 16


@dataclass(frozen=True, slots=True)
class Clouding:
    """What is clouded, and against which issued revision."""

    changes: Changes
    before: Revision


def clouding_of(
    revision: Revision | None, checksum: str = "", known: Iterable[Revision] | None = None
) -> Clouding | None:
    """Return what a revision changes, None for the working draft, a first issue and a cancelled revision.

    A candidate is held against the issue that it would replace, an issued revision against the one that it
    did replace, so that its clouds are gone in the next one. `checksum` names a former content of the
    candidate; without one its present content counts. `known` are the machine's revisions with their
    issues, where they have been read already.
    """
    if revision is None:
        return None
    before = _current(revision, known) if revision.state == State.CANDIDATE else revision.replaces
    if before is None:
        return None
    return Clouding(_changes(before.checksum, checksum or revision.checksum, revision.label), before)


def _current(revision: Revision, known: Iterable[Revision] | None) -> Revision | None:
    if known is None:
        return last_issued(revision.machine)
    issued = [row for row in known if row.issue is not None]
    return max(issued, key=lambda row: row.issue.sequence, default=None)


@lru_cache(maxsize=_KEPT)
def _changes(before: str, after: str, label: str) -> Changes:
    return changes_between(content_of(before).proposal, content_of(after).proposal, label)
