"""What is new for a person or waits for him or her, as counts and links: all that a mail may say."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.utils.module_loading import import_string

from specapp.core.models import User


@dataclass(frozen=True, slots=True)
class Waiting:
    """So many of one kind, and the page where they are.

    `kind` and `kind_plural` are constants of the program. Nothing that a person has typed belongs here, and
    no value: mail is read on other people's machines. `ask` names what a signature or an answer is asked
    for, so that it is told at once and once.
    """

    count: int
    kind: str
    kind_plural: str
    path: str
    ask: str = ""

    def in_words(self) -> str:
        return f"{self.count} {self.kind if self.count == 1 else self.kind_plural}"


# Takes a person, since when something counts as new, and the time now.
Source = Callable[[User, datetime, datetime], Iterable[Waiting]]


def waiting_for(person: User, since: datetime, now: datetime) -> list[Waiting]:
    """Return everything that the installation's parts have for a person (`settings.DIGEST_SOURCES`)."""
    sources: list[Source] = [import_string(path) for path in settings.DIGEST_SOURCES]
    return [item for source in sources for item in source(person, since, now) if item.count]
