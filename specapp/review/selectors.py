"""What the pages of the review read, in a fixed number of queries."""

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice

from django.core.paginator import Page, Paginator
from django.db.models import Count, Max, Prefetch, Q, QuerySet

from specapp.core.models import User
from specapp.review.models import (
    Attachment,
    Category,
    Comment,
    Discipline,
    Entry,
    State,
)
from specapp.revisions.models import Revision

ON_A_PAGE = 100
MOST_MARKS = 100
MOST_CONTRADICTIONS = 50
MOST_NAMED = 8


@dataclass(frozen=True, slots=True)
class Filter:
    """Which comments are asked for; empty is all of them."""

    state: str = ""
    category: str = ""
    discipline: str = ""
    item: str = ""
    revision: str = ""
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
            revision=query.get("made_on", "")[:12] if query.get("made_on", "").isdecimal() else "",
            mine=query.get("mine", "") == "1",
            overdue=query.get("overdue", "") == "1",
        )

    def applied(
        self, rows: QuerySet[Comment], person: User, today: date, keys: Collection[str] = ()
    ) -> QuerySet[Comment]:
        """Return the comments asked for; `keys` are those under which one on the item may stand."""
        told = {
            name: getattr(self, name)
            for name in ("state", "category", "discipline", "revision")
            if getattr(self, name)
        }
        rows = rows.filter(**told)
        if self.item:
            rows = rows.filter(item__in=keys or [self.item])
        if self.mine:
            rows = rows.filter(author=person)
        return rows.filter(overdue_on(today)) if self.overdue else rows


def overdue_on(today: date) -> Q:
    """Return what is asked of a comment that nobody has answered in time."""
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
    """Return comments with everything that their rows show, in four further queries.

    People are few and rows many: each person is read once. Entries and attachments are lists of the
    comment, `entry_list` and `attachment_list`: a queryset for each row takes longer than the row.
    """
    return rows.select_related("adopted").prefetch_related(
        "author",
        Prefetch("entries", Entry.objects.prefetch_related("author"), to_attr="entry_list"),
        Prefetch("attachments", Attachment.objects.defer("content"), to_attr="attachment_list"),
    )


def comment_counts(rows: QuerySet[Comment], today: date) -> Counts:
    """Return what a sheet's heading says, in one query."""
    told = rows.order_by().aggregate(
        last=Max("number"),
        overdue=Count("pk", filter=overdue_on(today)),
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

    @property
    def values(self) -> list[tuple[str, list[int], int]]:
        """Return each value as typed with the first comments that propose it, and how many more do."""
        found: dict[str, list[int]] = defaultdict(list)
        for number, text in self.proposals:
            found[text].append(number)
        return [(text, each[:MOST_NAMED], max(0, len(each) - MOST_NAMED)) for text, each in found.items()]

    def against(self) -> dict[int, tuple[int, ...]]:
        """Return for each comment the first comments that propose another value."""
        texts = dict.fromkeys(text for _, text in self.proposals)
        others = {
            text: tuple(islice((n for n, other in self.proposals if other != text), MOST_NAMED))
            for text in texts
        }
        return {number: others[text] for number, text in self.proposals}


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


def open_numbers(rows: QuerySet[Comment]) -> dict[str, list[int]]:
    """Return the numbers of the comments that are not closed, by item."""
    found: dict[str, list[int]] = defaultdict(list)
    for item, number in rows.exclude(state=State.CLOSED).exclude(item="").values_list("item", "number"):
        found[item].append(number)
    return found


def closed_between(rows: QuerySet[Comment], since: datetime | None, revision: Revision) -> QuerySet[Comment]:
    """Return the comments made before a revision that were closed after the one before it."""
    closed = rows.filter(state=State.CLOSED, written_at__lte=revision.frozen_at)
    return closed if since is None else _last_touched(closed).filter(touched__gt=since)


def comments_between(rows: QuerySet[Comment], since: datetime | None, until: datetime) -> QuerySet[Comment]:
    """Return the comments that stood open between two moments, or were made between them."""
    made = rows.filter(written_at__lte=until).select_related("author", "adopted", "revision")
    made = made.prefetch_related(Prefetch("entries", Entry.objects.exclude(code="")))
    return made if since is None else _last_touched(made).exclude(state=State.CLOSED, touched__lte=since)


def _last_touched(rows: QuerySet[Comment]) -> QuerySet[Comment]:
    """Return comments with when their last step was taken; a closed one is closed by it."""
    return rows.annotate(touched=Max("entries__written_at"))
