"""The comments as a workbook to be answered and sent back, and the reading of what came back.

The first column is hidden and says what each row is, so that a row is found again however the sheet was
sorted. Only replies, their codes and the rows for new comments can be changed; the lock keeps a text in
its cell, it is no secret and has no password. Texts are written as text and a formula is never read, so
that nothing in a comment is calculated, here or there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from math import ceil
from typing import Any, Final

from specapp.documents.cells import workbook_text
from specapp.documents.comment_sheet import TITLE, CommentLine, CommentSheet
from specapp.documents.form_pages import form_styles, head_row, lay_out
from specapp.documents.options import Options
from specapp.documents.workbook import new_workbook

FORMAT: Final = "comments/1"
SHEET: Final = "comments"
HEADINGS: Final = (
    "id",
    "no.",
    "where",
    "field",
    "comment",
    "category",
    "discipline",
    "due",
    "proposed value",
    "by",
    "replies so far",
    "state",
    "reply",
    "reply code",
)
PERSON: Final = "sheet:person"
PERSON_CELL: Final = 4
LONGEST_PERSON: Final = 120
NEW: Final = "new:"
NEW_ROWS: Final = 40
COMMENT: Final = "comment:"
_WIDTHS: Final = (0, 5, 24, 10, 46, 14, 16, 11, 12, 18, 44, 11, 40, 10)
_REPLY: Final = HEADINGS.index("reply")
_CODE: Final = HEADINGS.index("reply code")
# The cells of a row for a new comment that are filled in, with the longest text each takes.
NEW_CELLS: Final = {
    "where": 200,
    "field": 40,
    "comment": 4000,
    "category": 40,
    "discipline": 40,
    "due": 10,
    "proposed value": 60,
}
LONGEST_REPLY: Final = 4000
LONGEST_CODE: Final = 8
_LINE_HEIGHT: Final = 15.0  # pt
_HIGHEST: Final = 400.0
_LETTER: Final = 1.12  # of the width of a figure, with what is lost at the ends of lines
_LONGEST_LIST: Final = 255  # characters of a list of choices in a workbook
_INSTRUCTIONS: Final = (
    "Fill in the framed cells; everything else is locked. An empty cell says nothing.",
    (
        "A reply goes beside its comment, with a code where one is given. New comments go into the empty rows"
        " below: name a tag or item of the document, or leave “where” empty for the whole document."
    ),
)


@dataclass(frozen=True, slots=True)
class Ticket:
    """What a workbook is of, in its hidden head: who reads it back knows machine, revision and audience.

    ``revision`` is the number of its row, empty for the working draft; ``key`` tells one workbook sent
    from another.
    """

    machine: int
    revision: str
    version: int
    audience: str
    key: str

    def cells(self) -> tuple[str, ...]:
        return (
            FORMAT,
            f"machine:{self.machine}",
            f"revision:{self.revision}",
            f"version:{self.version}",
            f"audience:{self.audience}",
            f"key:{self.key}",
        )


@dataclass(frozen=True, slots=True)
class Choices:
    """What the cells with a list take: reply codes with their meaning, and words for new comments."""

    codes: Sequence[tuple[str, str]]
    fields: Sequence[str]
    categories: Sequence[str]
    disciplines: Sequence[str]


def render(sheet: CommentSheet, options: Options, ticket: Ticket, choices: Choices) -> bytes:
    """Return the workbook, the same bytes for the same comments, ticket and options."""
    out = BytesIO()
    title = f"{TITLE}: {sheet.machine}, {sheet.subject}"
    book = new_workbook(out, title, options.project)
    styles = form_styles(book)
    page = book.add_worksheet(SHEET)
    row = _head(page, sheet, ticket, choices, styles, title)
    head_row(page, row, HEADINGS, 3, styles["heading"])
    for line in sheet.lines:
        row += 1
        _comment(page, row, line, choices, styles)
    for number in range(1, NEW_ROWS + 1):
        row += 1
        _empty(page, row, number, choices, styles)
    lay_out(page, _WIDTHS, options.page_size, sheet.machine, options.standing)
    book.close()
    return out.getvalue()


def _head(
    page: Any, sheet: CommentSheet, ticket: Ticket, choices: Choices, styles: dict[str, Any], title: str
) -> int:
    """Write what stands above the comments; return the row of their headings."""
    page.write_string(0, 1, workbook_text(title), styles["title"])
    codes = "; ".join(f"{code}: {meaning}" for code, meaning in choices.codes)
    texts = (
        f"Comments for: {sheet.audience}. {sheet.selection}",
        *_INSTRUCTIONS,
        *([f"Reply codes: {codes}."] if codes else []),
    )
    for row, text in enumerate(texts, start=1):
        page.write_string(row, 1, workbook_text(text), styles["plain"])
    for row, text in enumerate(ticket.cells()):
        page.write_string(row, 0, text, styles["plain"])
    row = max(len(texts) + 1, len(ticket.cells()))
    page.write_string(row, 0, PERSON, styles["plain"])
    page.write_string(row, 2, "Filled in by", styles["bold"])
    page.write_blank(row, PERSON_CELL, None, styles["text"])
    page.data_validation(row, PERSON_CELL, row, PERSON_CELL, _at_most(LONGEST_PERSON, "name"))
    return row + 2


def _comment(page: Any, row: int, line: CommentLine, choices: Choices, styles: dict[str, Any]) -> None:
    texts = (
        line.where,
        line.field,
        line.text,
        line.category,
        line.discipline,
        line.due,
        line.proposed,
        f"{line.by}\n{line.written}",
        "\n".join(line.replies),
        line.state,
    )
    page.set_row(row, min(_LINE_HEIGHT * _lines(texts), _HIGHEST))
    page.write_string(row, 0, f"{COMMENT}{line.uid}", styles["plain"])
    page.write_number(row, 1, line.number, styles["bold"])
    for column, text in enumerate(texts, start=2):
        page.write_string(row, column, workbook_text(text), styles["cell"])
    page.write_blank(row, _REPLY, None, styles["text"])
    page.data_validation(row, _REPLY, row, _REPLY, _at_most(LONGEST_REPLY, "reply"))
    if choices.codes:
        page.write_blank(row, _CODE, None, styles["text"])
        page.data_validation(row, _CODE, row, _CODE, _list([code for code, _ in choices.codes]))


def _empty(page: Any, row: int, number: int, choices: Choices, styles: dict[str, Any]) -> None:
    page.write_string(row, 0, f"{NEW}{number}", styles["plain"])
    page.write_string(row, 1, "new", styles["cell"])
    lists = {"field": choices.fields, "category": choices.categories, "discipline": choices.disciplines}
    for name, longest in NEW_CELLS.items():
        column = HEADINGS.index(name)
        page.write_blank(row, column, None, styles["text"])
        rule = _list(lists[name]) if lists.get(name) else _at_most(longest, name)
        page.data_validation(row, column, row, column, rule)


def _lines(texts: tuple[str, ...]) -> int:
    """Return how many lines the longest text of a row takes in its column."""
    return max(
        sum(ceil(max(len(line), 1) * _LETTER / width) for line in text.split("\n"))
        for text, width in zip(texts, _WIDTHS[2:], strict=False)
    )


def _list(words: Sequence[str]) -> dict[str, Any]:
    """Return a drop-down, or a limit where the words are more than a drop-down holds."""
    if len(",".join(words)) > _LONGEST_LIST or any("," in word for word in words):
        return _at_most(max(map(len, words)), "text")
    return {
        "validate": "list",
        "source": list(words),
        "error_title": "Not one of the list",
        "error_message": ", ".join(words)[:255],
    }


def _at_most(longest: int, name: str) -> dict[str, Any]:
    return {
        "validate": "length",
        "criteria": "<=",
        "value": longest,
        "error_title": "Too long",
        "error_message": f"{name}: at most {longest} characters.",
    }
