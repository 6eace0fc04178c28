"""What the pages of the review read, in a fixed number of queries."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.core.paginator import Page, Paginator
from django.db.models import Count, Max, Prefetch, Q, QuerySet

from specapp.core.models import User
from specapp.projects.models import Machine
from specapp.review.models import (
    Attachment,
    Category,
    Comment,
    Discipline,
    Entry,
    Look,
    Reviewer,
    Round,
    State,
)

ON_A_PAGE = 100
MOST_MARKS = 200
MOST_CONTRADICTIONS = 50


@dataclass(frozen=True, slots=True)
class Filter:
    """Which comments are asked for; empty is all of them."""

    state: str = ""
    category: str = ""
    discipline: str = ""
    item: str = ""
    mine: bool = False
    overdue: bool = False

    @classmethod
    def of(cls, query: Mapping[str, str]) -> "Filter":
        """Return the filter of an address; what it does not know is left out."""

        def known(name: str, allowed: Iterable[str]) -> str:
            return query.get(name, "") if query.get(name, "") in set(allowed) else ""

        return cls(
            state=known("state", State.values),
            category=known("category", Category.values),
            discipline=known("discipline", Discipline.values),
            item=query.get("item", "")[:200],
            mine=query.get("mine", "") == "1",
            overdue=query.get("overdue", "") == "1",
        )

    def applied(self, rows: QuerySet[Comment], person: User, today: date) -> QuerySet[Comment]:
        told = {
            name: getattr(self, name)
            for name in ("state", "category", "discipline", "item")
            if getattr(self, name)
        }
        rows = rows.filter(**told)
        if self.mine:
            rows = rows.filter(author=person)
        return rows.filter(_overdue(today)) if self.overdue else rows


def _overdue(today: date) -> Q:
    return Q(due_date__lt=today, state=State.OPEN)


@dataclass(frozen=True, slots=True)
class Counts:
    """How many comments a reader may read, by state; `last` is the number of the newest."""

    by_state: Mapping[str, int]
    overdue: int
    last: int

    @property
    def all(self) -> int:
        return sum(self.by_state.values())


def comment_page(rows: QuerySet[Comment], page: str, count: int | None = None) -> Page:
    """Return a page of comments with their entries, attachments and people."""
    pages = Paginator(full(rows), ON_A_PAGE)
    if count is not None:
        pages.__dict__["count"] = count
    return pages.get_page(page)


def full(rows: QuerySet[Comment]) -> QuerySet[Comment]:
    """Return comments with everything that their rows show, in two further queries."""
    return rows.select_related("author", "adopted").prefetch_related(
        Prefetch("entries", Entry.objects.select_related("author")),
        Prefetch("attachments", Attachment.objects.defer("content")),
    )


def comment_counts(rows: QuerySet[Comment], today: date) -> Counts:
    """Return what a sheet's heading says, in one query."""
    told = rows.order_by().aggregate(
        last=Max("number"),
        overdue=Count("pk", filter=_overdue(today)),
        **{state: Count("pk", filter=Q(state=state)) for state in State.values},
    )
    return Counts({state: told[state] for state in State.values}, told["overdue"], told["last"] or 0)


def comments_after(rows: QuerySet[Comment], person: User, number: int) -> int:
    """Return how many comments of others came after a number."""
    return rows.filter(number__gt=number).exclude(author=person).count()


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Comments that are not closed and propose different values for one field of one item."""

    item: str
    field: str
    proposals: tuple[tuple[int, str], ...]


def contradictions(rows: QuerySet[Comment]) -> list[Contradiction]:
    """Return what contradicts itself among comments, by item."""
    proposing = rows.exclude(state=State.CLOSED).exclude(proposed_text="").order_by("number")
    found: dict[tuple[str, str], list[tuple[int, str, str]]] = defaultdict(list)
    for item, name, value, text, number in proposing.values_list(
        "item", "field", "proposed", "proposed_text", "number"
    ):
        found[item, name].append((number, text, json.dumps(value)))
    return [
        Contradiction(item, name, tuple((number, text) for number, text, _ in each))
        for (item, name), each in sorted(found.items())
        if len({value for _, _, value in each}) > 1
    ][:MOST_CONTRADICTIONS]


@dataclass(frozen=True, slots=True)
class RoundRow:
    """A round with its reviewers and who is late."""

    round: Round
    reviewers: tuple[Reviewer, ...]
    late: tuple[Reviewer, ...] = field(default=())


def review_rounds(machine: Machine, today: date) -> list[RoundRow]:
    """Return the rounds of a machine, the latest first."""
    rounds = Round.objects.filter(machine=machine).select_related("lead", "opened_by", "consolidated_by")
    rounds = rounds.prefetch_related(Prefetch("reviewers", Reviewer.objects.select_related("person")))
    rows = []
    for item in rounds:
        named = tuple(item.reviewers.all())
        is_late = item.due_date < today
        late = tuple(each for each in named if not each.answer and is_late)
        rows.append(RoundRow(item, named, late if item.consolidated_at is None else ()))
    return rows


def looks_of(machine: Machine) -> dict[str, list[Look]]:
    """Return who has looked at which item."""
    found: dict[str, list[Look]] = defaultdict(list)
    for row in Look.objects.filter(machine=machine).select_related("person"):
        found[row.item].append(row)
    return found
