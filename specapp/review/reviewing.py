"""What the pages of rounds read: who is asked, who has answered, who has looked at what."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet

from specapp.core.models import User
from specapp.core.roles import RIGHTS, Right
from specapp.projects.access import Access
from specapp.projects.models import Machine, Membership
from specapp.review.audience import is_outside
from specapp.review.models import Category, Comment, Look, Reviewer, Round, RoundChange, State
from specapp.review.places import Places, item_digest

MOST_ROUNDS = 50
MOST_OPEN = 400
_ASKED = Q(reviewers__excused_at=None)


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """What was changed in a round after asking, as one person sees it."""

    change: RoundChange
    added: tuple[str, ...]
    excused: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RoundRow:
    """A round as one person sees it: people outside see their own answer, not who else is asked."""

    round: Round
    reviewers: tuple[Reviewer, ...]
    own: Reviewer | None
    today: date
    is_outside: bool

    @property
    def is_done(self) -> bool:
        return self.round.consolidated_at is not None

    @property
    def asked(self) -> int:
        return sum(each.excused_at is None for each in self.reviewers)

    @property
    def silent(self) -> tuple[Reviewer, ...]:
        return tuple(each for each in self.reviewers if not each.answer and each.excused_at is None)

    @property
    def answered(self) -> int:
        return self.asked - len(self.silent)

    @property
    def due_moved(self) -> bool:
        return self.round.due_moved

    @property
    def changes(self) -> list[ChangeLine]:
        """Return what was changed since it was asked for, in a query of its own: few pages show it."""
        return list(_changes(self.round, self.reviewers))

    @property
    def is_excused(self) -> bool:
        """Tell whether the reader was asked and is excused."""
        return self.own is not None and self.own.excused_at is not None

    @property
    def is_overdue(self) -> bool:
        """Tell whether somebody who is asked has let the day pass; silence is no agreement."""
        return bool(self.silent) and not self.is_done and self.round.due_date < self.today

    @property
    def waits_for_me(self) -> bool:
        return self.own in self.silent and not self.is_done


def rounds_for(access: Access, person: User, machine: Machine) -> QuerySet[Round]:
    """Return the rounds of a machine that a person may read, the latest first."""
    rows = Round.objects.filter(machine=machine)
    if is_outside(access.role):
        rows = rows.filter(reviewers__person=person)
    moved = RoundChange.objects.filter(round=OuterRef("pk"), due_is__isnull=False)
    rows = rows.annotate(due_moved=Exists(moved))
    return rows.select_related("lead", "opened_by", "consolidated_by", "revision").prefetch_related(
        Prefetch("reviewers", Reviewer.objects.select_related("person")),
    )


def round_rows(rounds: Iterable[Round], access: Access, person: User, today: date) -> list[RoundRow]:
    outside = is_outside(access.role)
    rows = []
    for review in rounds:
        named = tuple(review.reviewers.all())
        own = next((each for each in named if each.person_id == person.pk), None)
        shown = tuple(each for each in named if each is own) if outside else named
        rows.append(RoundRow(review, shown, own, today, outside))
    return rows


def _changes(review: Round, shown: Iterable[Reviewer]) -> Iterable[ChangeLine]:
    """Yield the changes of a round that say something to a reader, who is told of these reviewers only."""
    names = {each.person_id: str(each.person) for each in shown}
    for change in review.changes.select_related("author"):
        added, excused = (
            tuple(names[key] for key in keys if key in names) for keys in (change.added, change.excused)
        )
        if change.due_is or added or excused:
            yield ChangeLine(change, added, excused)


def comments_of_round(comments: QuerySet[Comment], review: Round) -> QuerySet[Comment]:
    """Return the comments written while a round was open."""
    rows = comments.filter(written_at__gte=review.opened_at)
    return rows if review.consolidated_at is None else rows.filter(written_at__lte=review.consolidated_at)


def comments_by_person(comments: QuerySet[Comment]) -> dict[int, int]:
    rows = comments.order_by().values("author").annotate(count=Count("pk"))
    return {row["author"]: row["count"] for row in rows}


def looks_of(machine: Machine) -> dict[str, list[Look]]:
    """Return who has looked at which item."""
    found: dict[str, list[Look]] = defaultdict(list)
    for row in Look.objects.filter(machine=machine).select_related("person"):
        found[row.item].append(row)
    return found


def looks_by_person(machine: Machine, places: Places) -> dict[int, int]:
    """Return how many points each person has looked at that say what they said then."""
    found: dict[int, int] = defaultdict(int)
    now: dict[str, str] = {}
    for person, item, digest in Look.objects.filter(machine=machine).values_list("person", "item", "digest"):
        if item not in places.groups:
            continue
        if item not in now:
            now[item] = item_digest(places, item)
        found[person] += digest == now[item]
    return found


@dataclass(frozen=True, slots=True)
class OpenItem:
    """An item with the comments on it that are not closed."""

    key: str
    name: str
    point: str
    comments: tuple[Comment, ...]


_WEIGHT = {category: place for place, category in enumerate(Category.values)}


def open_by_item(comments: QuerySet[Comment], places: Places | None) -> tuple[list[OpenItem], int]:
    """Return the comments that are not closed by item, and how many more there are than are shown.

    Items stand in the order of the proposal, the comments on each by weight.
    """
    rows = comments.exclude(state=State.CLOSED).select_related("author", "adopted").order_by("number")
    shown = list(rows[: MOST_OPEN + 1])
    left = rows.count() - MOST_OPEN if len(shown) > MOST_OPEN else 0
    found: dict[str, list[Comment]] = defaultdict(list)
    for comment in shown[:MOST_OPEN]:
        found[comment.item].append(comment)
    names: Mapping[str, str] = places.names if places else {}
    order = {key: place for place, key in enumerate(names)}
    return [
        OpenItem(
            key=key,
            name=names.get(key, key).partition(",")[0] if key else "The whole document and its drawings",
            point=places.points.get(key, "") if places else "",
            comments=tuple(sorted(each, key=lambda comment: _WEIGHT[comment.category])),
        )
        for key, each in sorted(found.items(), key=lambda pair: order.get(pair[0], len(order)))
    ], left


def waiting_rounds(person: User) -> list[Reviewer]:
    """Return the answers that a person owes, the most urgent first."""
    rows = Reviewer.objects.filter(
        person=person,
        answer="",
        excused_at=None,
        round__consolidated_at=None,
        round__machine__project__memberships__in=_taking_part(person),
    )
    return list(
        rows.select_related("round__machine__project", "round__lead", "round__revision").order_by(
            "round__due_date", "pk"
        )
    )


def leading_rounds(person: User) -> list[Round]:
    """Return the rounds a person leads that are not consolidated, with how many are asked and silent."""
    rows = Round.objects.filter(
        lead=person, consolidated_at=None, machine__project__memberships__in=_taking_part(person)
    ).annotate(
        silent=Count("reviewers", filter=_ASKED & Q(reviewers__answer=""), distinct=True),
        asked=Count("reviewers", filter=_ASKED, distinct=True),
    )
    return list(rows.select_related("machine__project", "revision").order_by("due_date", "pk"))


def _taking_part(person: User) -> QuerySet[Membership]:
    """Return where a person may still comment: a role may have changed since the round was asked for."""
    roles = [role for role, rights in RIGHTS.items() if Right.COMMENT in rights]
    return Membership.objects.filter(user=person, role__in=roles)
