"""What the pages of a machine's review have in common."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from specapp.core import display as display_choice
from specapp.core.roles import Right
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


@dataclass(frozen=True, slots=True)
class Desk:
    """A machine's review as one person sees it; no proposal for people who may not read the draft."""

    access: Access
    machine: Machine
    proposal: Proposal | None
    places: Places | None
    comments: QuerySet[Comment]
    today: date

    @property
    def place(self) -> tuple[int, int]:
        return self.access.project.pk, self.machine.pk

    @property
    def list_url(self) -> str:
        return reverse("review:comment-list", args=self.place)

    @property
    def may_comment(self) -> bool:
        return self.access.may(Right.COMMENT)

    @property
    def may_answer(self) -> bool:
        return self.access.may(Right.ANSWER_COMMENTS)

    def reading(self, found: list[Contradiction] = [], scenes: dict[str, str] | None = None) -> Reading:  # noqa: B006
        against: dict[int, tuple[int, ...]] = {}
        for each in found:
            numbers = [number for number, _ in each.proposals]
            texts = dict(each.proposals)
            against.update(
                (number, tuple(n for n in numbers if texts[n] != texts[number])) for number in numbers
            )
        return Reading(
            list_url=self.list_url,
            points_url=reverse("projects:machine-show", args=self.place) + "points/",
            places=self.places,
            today=self.today,
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
            "may_comment": self.may_comment,
            "may_answer": self.may_answer,
            "reads_draft": self.proposal is not None,
        }


def desk_of(
    request: HttpRequest, project_id: int, machine_id: int, right: Right = Right.READ_COMMENTS
) -> Desk:
    """Return a machine's review for a member with the right. Raises `InputErrors` for an unreadable draft."""
    access, machine = review_or_404(request, project_id, machine_id, right)
    proposal = machine_proposal(machine) if access.may(Right.READ_DRAFT) else None
    return Desk(
        access=access,
        machine=machine,
        proposal=proposal,
        places=places_of(proposal) if proposal is not None else None,
        comments=comments_for(access, request.user, machine),
        today=timezone.localdate(),
    )


def version_of(text: str) -> int:
    """Return a version as a form sends it, 0 for anything else."""
    return int(text) if text.isdecimal() and len(text) < 10 else 0
