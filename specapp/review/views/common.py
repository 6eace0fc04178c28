"""What the pages of a machine's review have in common."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.urls import reverse
from django.utils import timezone

from specapp.core import display as display_choice
from specapp.core.roles import Right
from specapp.core.whole_numbers import whole_number
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.projects.presenting.header import machine_context
from specapp.review.audience import comments_for, review_or_404
from specapp.review.models import Comment
from specapp.review.places import Places, places_of
from specapp.review.presenting.rows import Reading
from specapp.review.selectors import Contradiction
from specapp.revisions.content import content_of
from specapp.revisions.models import Revision
from specapp.revisions.models import State as Stage

_OF_REVISIONS = ("machine", "label", "state", "content", "issue__sequence")


@dataclass(frozen=True, slots=True)
class Desk:
    """A machine's review as one person sees it; no proposal for people who may not read the draft.

    `revision` is what lies on the desk, None for the working draft.
    """

    access: Access
    machine: Machine
    proposal: Proposal | None
    places: Places | None
    comments: QuerySet[Comment]
    today: date
    revision: Revision | None = None

    @property
    def place(self) -> tuple[int, int]:
        return self.access.project.pk, self.machine.pk

    @property
    def list_url(self) -> str:
        return reverse("review:comment-list", args=self.place)

    @property
    def stand(self) -> str:
        """Return the address's word for what lies on the desk, empty for the working draft."""
        return f"revision={self.revision.pk}" if self.revision else ""

    def revisions(self) -> list[Revision]:
        """Return the revisions that can be laid on the desk, the latest first; none for people outside it.

        Only what a choice among them and the clouds of one need is read.
        """
        if self.proposal is None:
            return []
        rows = Revision.objects.filter(machine=self.machine).exclude(state=Stage.CANCELLED)
        return list(rows.select_related("issue").only(*_OF_REVISIONS))

    def keys_of(self, item: str) -> set[str]:
        """Return the keys under which a comment on an item may stand: its own and its voting group's."""
        group = self.places.groups.get(item) if self.places else None
        return {item, group} if group else {item}

    @property
    def may_comment(self) -> bool:
        return self.access.may(Right.COMMENT)

    @property
    def may_answer(self) -> bool:
        return self.access.may(Right.ANSWER_COMMENTS)

    def reading(self, found: Iterable[Contradiction] = (), scenes: dict[str, str] | None = None) -> Reading:
        against: dict[int, tuple[int, ...]] = {}
        for each in found:
            against |= each.against()
        return Reading(
            list_url=self.list_url,
            points_url=reverse("projects:machine-show", args=self.place) + "points/",
            places=self.places,
            today=self.today,
            stand=self.stand,
            labels=dict(Revision.objects.filter(machine=self.machine).values_list("pk", "label")),
            against=against,
            changed_scenes=scenes or {},
        )

    def context(self, request: HttpRequest) -> dict[str, Any]:
        """Return what the heading, the title block and the links of every page need."""
        context: dict[str, Any] = {
            "access": self.access,
            "project": self.access.project,
            "machine": self.machine,
        }
        if self.proposal is not None:
            context |= machine_context(
                self.access, self.machine, self.proposal, display_choice.switch(request)
            )
        return context | {
            "desk": self,
            "revision": self.revision,
            "stand": self.stand,
            "may_comment": self.may_comment,
            "may_answer": self.may_answer,
            "reads_draft": self.proposal is not None,
        }


def desk_of(
    request: HttpRequest,
    project_id: int,
    machine_id: int,
    right: Right = Right.READ_COMMENTS,
    *,
    of_machine: bool = False,
    revision_id: int | None = None,
) -> Desk:
    """Return a machine's review for a member with the right.

    `of_machine` leaves the working draft on the desk whatever the address says; `revision_id` lays that
    revision on it. Raises `InputErrors` for an unreadable draft and `Http404`.
    """
    access, machine = review_or_404(request, project_id, machine_id, right)
    revision, proposal = None, None
    if access.may(Right.READ_DRAFT):
        told = str(revision_id) if revision_id is not None else "" if of_machine else _revision_told(request)
        revision = revision_asked(machine, told)
        proposal = content_of(revision.checksum).proposal if revision else machine_proposal(machine)
    return Desk(
        access=access,
        machine=machine,
        proposal=proposal,
        places=places_of(proposal) if proposal is not None else None,
        comments=comments_for(access, request.user, machine),
        today=timezone.localdate(),
        revision=revision,
    )


def _revision_told(request: HttpRequest) -> str:
    return request.POST.get("revision", "") or request.GET.get("revision", "")


def revision_asked(machine: Machine, told: str) -> Revision | None:
    """Return the revision that an address or form names, None where it names none. Raises `Http404`."""
    if not told:
        return None
    rows = Revision.objects.filter(machine=machine).select_related("issue", "replaces", "machine__project")
    revision = rows.filter(pk=whole_number(told)).first()
    if revision is None:
        raise Http404
    return revision


def stands(machine: Machine, revisions: list[Revision]) -> list[tuple[str, str]]:
    """Return what can be laid on the desk, as choices."""
    return [
        ("", f"working draft, v{machine.version}"),
        *((str(row.pk), f"revision {row.label}, {row.get_state_display()}") for row in revisions),
    ]
