"""What a check says about one shaft or machine, before it is known how many subjects it stands for."""

from __future__ import annotations

from specapp.domain.proposal import Check, Measure, Record
from specapp.rulebook.trace import Why

# Floating-point noise must not turn a value that equals its limit.
NOISE = 1e-9


class Answer(Record, frozen=True):
    """A check without its subject; one answer, with one reason, may serve several groups of a shaft."""

    check: str
    result: str
    measured: Measure | None
    limit: Measure | None
    text: str
    remedies: tuple[str, ...]
    needs: str | None
    reason: int

    def on(self, subject: str) -> Check:
        """Return the check of one voting group, point, shaft, or "machine"."""
        return Check(
            self.check,
            subject,
            self.result,
            self.measured,
            self.limit,
            self.text,
            self.remedies,
            self.needs,
            (self.reason,),
        )


def answer(
    why: Why,
    check: str,
    result: str,
    text: str,
    measured: Measure | None = None,
    limit: Measure | None = None,
    remedies: tuple[str, ...] = (),
) -> Answer:
    """Return pass, caution or fail, and close the reason with its text."""
    return Answer(check, result, measured, limit, text, remedies, None, why.say(text))


def not_evaluated(why: Why, check: str, needs: str, text: str, limit: Measure | None = None) -> Answer:
    """Return that the fact at `needs` is missing, and close the reason with the text."""
    return Answer(check, "not_evaluated", None, limit, text, (), needs, why.say(text))
