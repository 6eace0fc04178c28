"""A comment workbook that came back: its replies and new comments, cell by cell, within fixed limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from specapp.documents.comment_workbook import (
    COMMENT,
    FORMAT,
    HEADINGS,
    LONGEST_CODE,
    LONGEST_PERSON,
    LONGEST_REPLY,
    NEW,
    NEW_CELLS,
    PERSON,
    PERSON_CELL,
    Ticket,
)
from specapp.domain.machine_table import Cell, Refused, column_letter
from specapp.domain.machine_workbook import read_workbook
from specapp.domain.problems import DOCUMENT, InputErrors, Problem, shown

MOST_ROWS: Final = 5000
_TICKET: Final = ("machine", "revision", "version", "audience", "key")
_LONGEST_TICKET: Final = 40


@dataclass(frozen=True, slots=True)
class WorkbookReply:
    """A reply in a row of the workbook, and the cells it and its code stand in."""

    uid: str
    text: str
    code: str
    cell: str
    code_cell: str


@dataclass(frozen=True, slots=True)
class WorkbookComment:
    """A new comment: what was written by heading, and the cell of each."""

    row: str
    told: Mapping[str, str]
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ReturnedWorkbook:
    """What came back; ``problems`` are of single cells and leave the other rows standing."""

    ticket: Ticket
    person: str
    replies: tuple[WorkbookReply, ...]
    comments: tuple[WorkbookComment, ...]
    problems: tuple[Problem, ...]


def read_returned(data: bytes) -> ReturnedWorkbook:
    """Return what was written in a workbook of comments.

    Raises `InputErrors` where it is no workbook, too large, or not one of comments made here.
    """
    rows: list[Sequence[Cell]] = []
    for row in read_workbook(data):
        if len(rows) == MOST_ROWS:
            raise InputErrors([Problem(DOCUMENT, f"more than {MOST_ROWS} rows", f"at most {MOST_ROWS} rows")])
        rows.append(row)
    return _Reader().read(rows)


class _Reader:
    def __init__(self) -> None:
        self._problems: list[Problem] = []
        self._replies: dict[str, WorkbookReply] = {}
        self._comments: dict[str, WorkbookComment] = {}

    def read(self, rows: Sequence[Sequence[Cell]]) -> ReturnedWorkbook:
        ids = [row[0].strip() if row and isinstance(row[0], str) else "" for row in rows]
        if FORMAT not in ids or HEADINGS[0] not in ids:
            found = "a workbook that is no comment workbook, or whose hidden first column is gone"
            raise InputErrors([Problem(DOCUMENT, found, "the comment workbook as it was sent, filled in")])
        person = ""
        ticket = self._ticket(ids)
        for number, (key, cells) in enumerate(zip(ids, rows, strict=True), start=1):
            if key == PERSON:
                person = " ".join((self._text(cells, PERSON_CELL, number, LONGEST_PERSON) or "").split())
            elif key.startswith(COMMENT):
                self._reply(key.removeprefix(COMMENT), number, cells)
            elif key.startswith(NEW):
                self._new(key, number, cells)
            elif not key and number > ids.index(HEADINGS[0]) + 1:
                self._stray(number, cells)
        return ReturnedWorkbook(
            ticket=ticket,
            person=person,
            replies=tuple(self._replies.values()),
            comments=tuple(self._comments.values()),
            problems=tuple(self._problems),
        )

    def _ticket(self, ids: Sequence[str]) -> Ticket:
        told = {}
        for name in _TICKET:
            found = next((key for key in ids if key.startswith(f"{name}:")), f"{name}:")
            told[name] = found.partition(":")[2][:_LONGEST_TICKET]
        if not (_is_number(told["machine"]) and _is_number(told["version"])):
            found = "a workbook whose hidden head was changed"
            raise InputErrors([Problem(DOCUMENT, found, "the comment workbook as it was sent, filled in")])
        return Ticket(
            int(told["machine"]), told["revision"], int(told["version"]), told["audience"], told["key"]
        )

    def _reply(self, uid: str, number: int, cells: Sequence[Cell]) -> None:
        reply, code = HEADINGS.index("reply"), HEADINGS.index("reply code")
        text = self._text(cells, reply, number, LONGEST_REPLY)
        mark = self._text(cells, code, number, LONGEST_CODE)
        if text is None or mark is None or not (text or mark):
            return
        place, code_place = f"{column_letter(reply)}{number}", f"{column_letter(code)}{number}"
        if not text:
            problem = Problem(place, "a code without a reply", "a written reply beside its code")
            self._problems.append(problem)
        elif uid in self._replies:
            allowed = f"one reply a comment, as in {self._replies[uid].cell}"
            self._problems.append(Problem(place, "a second row of the same comment", allowed))
        else:
            self._replies[uid] = WorkbookReply(uid, text, mark.strip(), place, code_place)

    def _new(self, key: str, number: int, cells: Sequence[Cell]) -> None:
        told: dict[str, str] = {}
        addresses: dict[str, str] = {}
        is_readable = True
        for name, longest in NEW_CELLS.items():
            column = HEADINGS.index(name)
            addresses[name] = f"{column_letter(column)}{number}"
            text = self._text(cells, column, number, longest)
            is_readable = is_readable and text is not None
            told[name] = text or ""
        if not is_readable or not any(told.values()):
            return
        if not told["comment"]:
            self._problems.append(Problem(addresses["comment"], "a row without a comment", "a text"))
        elif key in self._comments:
            place = self._comments[key].cells["comment"]
            allowed = f"each row once, as in {place}; write into an empty row of the sheet"
            self._problems.append(Problem(addresses["comment"], "a copied row", allowed))
        else:
            self._comments[key] = WorkbookComment(key, told, addresses)

    def _stray(self, number: int, cells: Sequence[Cell]) -> None:
        """Tell of something written below the sheet's own rows, so that nothing is lost unseen."""
        for column, cell in enumerate(cells):
            if cell is not None and not (isinstance(cell, str) and not cell.strip()):
                place = f"{column_letter(column)}{number}"
                found = cell.found if isinstance(cell, Refused) else shown(cell)
                self._problems.append(Problem(place, found, "a text in one of the framed cells"))
                return

    def _text(self, cells: Sequence[Cell], place: int, number: int, longest: int) -> str | None:
        """Return a cell as text; None where it holds nothing to read, which is then among the problems."""
        cell = cells[place] if place < len(cells) else None
        address = f"{column_letter(place)}{number}"
        if isinstance(cell, Refused):
            self._problems.append(Problem(address, cell.found, cell.allowed))
            return None
        if isinstance(cell, bool):
            return "yes" if cell else "no"
        raw = f"{cell:.10g}" if isinstance(cell, int | float) else str(cell or "")
        told = "\n".join(line.rstrip() for line in raw.replace("\r\n", "\n").split("\n")).strip()
        text = "".join(char for char in told if char == "\n" or char.isprintable())
        if len(text) > longest:
            self._problems.append(Problem(address, f"{len(text)} characters", f"at most {longest}"))
            return None
        return text


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 12
