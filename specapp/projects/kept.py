"""What follows from a proposal alone, kept in memory beside it while many people look at it.

A proposal is frozen and `worked.proposal_for` gives the same object again for the same description and
ground, so what was made of it once stays right for as long as that object lives.
"""

from collections.abc import Callable
from functools import lru_cache
from typing import Concatenate, Generic, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")


class Itself(Generic[T]):
    """A thing as a key: equal to itself only, which is quick to tell of something large."""

    __slots__ = ("thing",)

    def __init__(self, thing: T) -> None:
        self.thing = thing

    def __hash__(self) -> int:
        return id(self.thing)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Itself) and other.thing is self.thing


def kept_beside(most: int) -> Callable[[Callable[Concatenate[T, P], R]], Callable[Concatenate[T, P], R]]:
    """Keep the `most` latest answers of a function of a proposal and of arguments that can be keys.

    The answers are shared between requests: they must not be changed, and must not rest on anything but
    the arguments.
    """

    def keep(function: Callable[Concatenate[T, P], R]) -> Callable[Concatenate[T, P], R]:
        @lru_cache(maxsize=most)
        def of_itself(proposal: Itself[T], *args: P.args, **named: P.kwargs) -> R:
            return function(proposal.thing, *args, **named)

        def kept(proposal: T, *args: P.args, **named: P.kwargs) -> R:
            return of_itself(Itself(proposal), *args, **named)

        return kept

    return keep
