"""A sheet of questions that came back: its head and its answers, cell by cell, within fixed limits."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from specapp.documents.ask_workbook import FORMAT, HEAD, HEADINGS
from specapp.domain.machine_table import Cell, Refused, column_letter
from specapp.domain.machine_workbook import read_workbook
from specapp.domain.problems import DOCUMENT, InputErrors, Problem, shown
from specapp.domain.scalars import bad_character

_HEAD_LENGTHS = {key: longest for key, _, longest in HEAD}
_HEAD_CELL = 4  # the column of the head's answers
_LENGTHS = {"answer": 400, "unit": 20, "document": 120, "revision": 40, "page": 40, "remark": 400}
_SPEED = re.compile(r"\d{1,7}(?:\.\d{1,10})?", re.ASCII)
_MOST_ANSWERS = 1000
_KINDS = ("fact:", "setpoint:", "words:")


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer: the key of its question, what was answered, and the cell it stands in."""

    key: str
    number: str
    answer: str
    document: str
    revision: str
    page: str
    remark: str
    cell: str


@dataclass(frozen=True, slots=True)
class ReturnedSheet:
    """What came back; `problems` are of single cells and leave the other answers standing.

    `shaft_speeds_rpm` are those the shafts had when the questions were asked.
    """

    machine: str
    shaft_speeds_rpm: Mapping[str, float]
    document: str
    revision: str
    person: str
    dated: date | None
    answers: tuple[Answer, ...]
    problems: tuple[Problem, ...]


def read_returned(data: bytes) -> ReturnedSheet:
    """Return the answers of a filled workbook.

    Raises `InputErrors` where it is no workbook, too large, or not a sheet of questions made here.
    """
    return _Reader().read(list(_rows(data)))


def _rows(data: bytes) -> Iterator[Sequence[Cell]]:
    for number, row in enumerate(read_workbook(data), start=1):
        if number > _MOST_ANSWERS:
            allowed = f"at most {_MOST_ANSWERS} rows"
            raise InputErrors([Problem(DOCUMENT, f"more than {_MOST_ANSWERS} rows", allowed)])
        yield row


def _speeds(key: str) -> dict[str, float]:
    """Return the speeds of "shafts:BG=1490;P1=18200"; what is no number is left out."""
    pairs = (part.partition("=") for part in key.partition(":")[2].split(";"))
    return {name: float(text) for name, _, text in pairs if _SPEED.fullmatch(text)}


class _Reader:
    def __init__(self) -> None:
        self._problems: list[Problem] = []
        self._head: dict[str, str] = {}
        self._speeds: dict[str, float] = {}
        self._answers: dict[str, Answer] = {}

    def read(self, rows: Sequence[Sequence[Cell]]) -> ReturnedSheet:
        ids = [row[0] if row and isinstance(row[0], str) else "" for row in rows]
        if FORMAT not in ids[:5] or HEADINGS[0] not in ids:
            found = "a workbook that is no sheet of questions, or whose hidden first column is gone"
            raise InputErrors(
                [Problem(DOCUMENT, found, "the workbook of questions as it was sent, filled in")]
            )
        for number, (key, cells) in enumerate(zip(ids, rows, strict=True), start=1):
            if key in _HEAD_LENGTHS:
                text = self._text(cells, _HEAD_CELL, number, _HEAD_LENGTHS[key])
                self._head[key.partition(":")[2]] = text or ""
            elif key.startswith("machine:"):
                self._head["machine"] = key.partition(":")[2]
            elif key.startswith("shafts:"):
                self._speeds = _speeds(key)
            elif key.startswith(_KINDS):
                self._answer(key, number, cells)
        return ReturnedSheet(
            machine=self._head.get("machine", ""),
            shaft_speeds_rpm=self._speeds,
            document=self._head.get("document", ""),
            revision=self._head.get("revision", ""),
            person=self._head.get("person", ""),
            dated=self._dated(),
            answers=tuple(self._answers.values()),
            problems=tuple(self._problems),
        )

    def _dated(self) -> date | None:
        try:
            return date.fromisoformat(self._head.get("dated", ""))
        except ValueError:
            return None

    def _answer(self, key: str, number: int, cells: Sequence[Cell]) -> None:
        """Take an answer; a row with a cell that cannot be read is among the problems and is not taken."""
        told: dict[str, str] = {}
        for name, longest in _LENGTHS.items():
            text = self._text(cells, HEADINGS.index(name), number, longest)
            if text is None:
                return
            told[name] = text
        if not told["answer"]:
            return
        place = f"{column_letter(HEADINGS.index('answer'))}{number}"
        if key in self._answers:
            allowed = f"each question once, as in {self._answers[key].cell}"
            self._problems.append(Problem(place, "a second answer to the same question", allowed))
            return
        is_bare = not any(char.isalpha() or char in "µ°\"'" for char in told["answer"])
        answer = f"{told['answer']} {told['unit']}".strip() if is_bare else told["answer"]
        asked = cells[HEADINGS.index("no.")] if len(cells) > 1 else ""
        self._answers[key] = Answer(
            key=key,
            number=f"{asked:.0f}" if isinstance(asked, int | float) else str(asked or "")[:10],
            answer=answer,
            document=told["document"],
            revision=told["revision"],
            page=told["page"],
            remark=told["remark"],
            cell=place,
        )

    def _text(self, cells: Sequence[Cell], place: int, number: int, longest: int) -> str | None:
        """Return a cell as text; None where it holds nothing to read, which is then among the problems."""
        cell = cells[place] if place < len(cells) else None
        address = f"{column_letter(place)}{number}"
        if isinstance(cell, Refused):
            self._problems.append(Problem(address, cell.found, cell.allowed))
            return None
        if isinstance(cell, bool):
            return "yes" if cell else "no"
        text = f"{cell:.10g}" if isinstance(cell, int | float) else " ".join(str(cell or "").split())
        if len(text) > longest or bad_character(text) is not None:
            allowed = f"one line of at most {longest} characters"
            self._problems.append(Problem(address, shown(text), allowed))
            return None
        return text
