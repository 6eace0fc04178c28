"""The questions on a machine by whom to ask, as tables."""

from collections.abc import Sequence
from dataclasses import dataclass

from specapp.documents.asking import ASKED, Question, changes_text, questions
from specapp.documents.wording import NONE, prose
from specapp.domain.proposal import Proposal
from specapp.projects.presenting.tables import Column, Row, Table, joined

_COLUMNS = (
    Column("No.", "number"),
    Column("Question"),
    Column("Why it is asked", "says"),
    Column("What an answer may change", "subjects"),
    Column("Taken until then"),
)


@dataclass(frozen=True, slots=True)
class QuestionGroup:
    """What is asked of one of those asked; `ask` is its word in addresses."""

    ask: str
    name: str
    asked: Sequence[Question]

    @property
    def table(self) -> Table:
        rows = [
            Row(
                (
                    str(question.number),
                    prose(question.text),
                    joined([prose(text) for text in question.because]),
                    prose(changes_text(question)) or NONE,
                    prose(question.taken) or NONE,
                )
            )
            for question in self.asked
        ]
        return Table(f"Questions to the {self.name}", _COLUMNS, rows, is_narrow=False)


def question_groups(proposal: Proposal) -> list[QuestionGroup]:
    """Return the questions by whom to ask, those who are asked something."""
    found = questions(proposal)
    groups = [
        QuestionGroup(ask, name, [each for each in found if each.ask == ask]) for ask, name in ASKED.items()
    ]
    return [group for group in groups if group.asked]
