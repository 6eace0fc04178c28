"""The questions as a workbook to be filled in and sent back: only the answers can be changed.

The first column is hidden and says what each row is, so that a row is found again however the sheet was
sorted; `specapp.references` reads it. The lock keeps an answer in its cell; it is no secret and has no
password.
"""

from __future__ import annotations

from io import BytesIO
from math import ceil
from typing import Any, Final

from specapp.documents.ask_sheet import TITLE
from specapp.documents.asking import ASKED, Question, changes_text, questions
from specapp.documents.cells import workbook_text
from specapp.documents.form_pages import form_styles, head_row, lay_out
from specapp.documents.front import CAUTION_LINE, title_block
from specapp.documents.options import Options
from specapp.documents.wording import prose, words
from specapp.documents.workbook import new_workbook
from specapp.domain.proposal import Proposal

FORMAT: Final = "questions/1"
SHEET: Final = "questions"
HEADINGS: Final = (
    "id",
    "no.",
    "asked of",
    "question",
    "why it is asked",
    "what an answer may change",
    "taken until then",
    "answer",
    "unit",
    "document",
    "revision",
    "page",
    "remark",
)
# What the head of the sheet asks: the hidden id, the words beside it, the longest answer.
HEAD: Final = (
    ("sheet:document", "Number of this sheet with you", 120),
    ("sheet:revision", "Revision", 40),
    ("sheet:person", "Answered by", 120),
    ("sheet:dated", "Date, such as 2026-03-31", 10),
)
_WIDTHS: Final = (0, 5, 15, 38, 48, 38, 16, 22, 10, 18, 9, 9, 30)
_ANSWER: Final = HEADINGS.index("answer")
_UNIT: Final = HEADINGS.index("unit")
_LONGEST: Final = {"document": 120, "revision": 40, "page": 40, "remark": 400}
_LINE_HEIGHT: Final = 15.0  # pt
_LETTER: Final = 1.12  # of the width of a figure, with what is lost at the ends of lines
_LONGEST_ANSWER: Final = 400
_LONGEST_LIST: Final = 255  # characters of a list of choices in a workbook
_INSTRUCTIONS: Final = (
    "Fill in the framed cells; everything else is locked. Leave a cell empty where the answer is not known.",
    "A number goes into “answer”, its unit into “unit”. Name the document, revision and page it is from.",
    "Nothing takes effect by itself: each answer is looked at, with what it changes, before it is taken.",
)


def render(proposal: Proposal, options: Options) -> bytes:
    """Return the questions to everybody as a workbook, the same bytes for the same proposal and options."""
    return render_for(proposal, options)


def render_for(proposal: Proposal, options: Options, ask: str = "") -> bytes:
    """Return the questions to one of `ASKED` as a workbook, or to everybody."""
    out = BytesIO()
    title = f"{TITLE} to the {ASKED[ask]}" if ask else TITLE
    block = title_block(proposal, options, title)
    book = new_workbook(out, f"{title}, {block.machine}", block.project, comments=CAUTION_LINE)
    styles = form_styles(book)
    sheet = book.add_worksheet(SHEET)
    row = _head(sheet, proposal, styles, f"{title}: {block.machine}", block.project)
    head_row(sheet, row, HEADINGS, 4, styles["heading"])
    for number, question in enumerate(questions(proposal, ask), start=row + 1):
        _row(sheet, number, question, styles)
    lay_out(sheet, _WIDTHS, options.page_size, block.machine, block.standing)
    book.close()
    return out.getvalue()


def _head(sheet: Any, proposal: Proposal, styles: dict[str, Any], title: str, project: str) -> int:
    """Write what stands above the questions; return the row of their headings."""
    sheet.write_string(0, 0, FORMAT, styles["plain"])
    sheet.write_string(0, 1, workbook_text(title), styles["title"])
    sheet.write_string(1, 0, f"machine:{proposal.machine['tag']}", styles["plain"])
    sheet.write_string(1, 1, workbook_text(project), styles["plain"])
    # Whoever reads the answers holds each against the speed its shaft had when it was asked.
    speeds = ((shaft.name, shaft.speed) for shaft in proposal.shafts)
    told = ";".join(f"{name}={speed.value:.10g}" for name, speed in speeds if speed is not None)
    sheet.write_string(2, 0, f"shafts:{told}", styles["plain"])
    for row, line in enumerate(_INSTRUCTIONS, start=2):
        sheet.write_string(row, 1, line, styles["plain"])
    row = 2 + len(_INSTRUCTIONS)
    for key, label, longest in HEAD:
        sheet.write_string(row, 0, key, styles["plain"])
        sheet.write_string(row, 3, label, styles["bold"])
        sheet.write_blank(row, 4, None, styles["text"])
        sheet.data_validation(row, 4, row, 4, _at_most(longest, label))
        row += 1
    return row + 1


def _row(sheet: Any, row: int, question: Question, styles: dict[str, Any]) -> None:
    sheet.write_string(row, 0, question.key, styles["plain"])
    sheet.write_number(row, 1, question.number, styles["bold"])
    texts = (
        ASKED[question.ask],
        prose(question.text),
        "\n".join(prose(text) for text in question.because),
        prose(changes_text(question)),
        prose(question.taken),
    )
    sheet.set_row(row, _LINE_HEIGHT * _lines(texts))
    for column, text in enumerate(texts, start=2):
        sheet.write_string(row, column, workbook_text(text), styles["bold" if column == 3 else "cell"])
    is_number = bool(question.unit) or question.smallest is not None
    sheet.write_blank(row, _ANSWER, None, styles["answer" if is_number else "text"])
    sheet.data_validation(row, _ANSWER, row, _ANSWER, _answer(question))
    if len(question.units) > 1:
        sheet.write_string(row, _UNIT, question.unit, styles["text"])
        sheet.data_validation(row, _UNIT, row, _UNIT, {"validate": "list", "source": list(question.units)})
    else:
        unit = "" if question.unit == "1" else question.unit
        sheet.write_string(row, _UNIT, unit, styles["cell"])
    for column, name in enumerate(HEADINGS):
        if name in _LONGEST:
            sheet.write_blank(row, column, None, styles["text"])
            sheet.data_validation(row, column, row, column, _at_most(_LONGEST[name], name))


def _lines(texts: tuple[str, ...]) -> int:
    """Return how many lines the longest text of a row takes in its column."""
    columns = zip(texts, _WIDTHS[2:], strict=False)
    return max(
        sum(ceil(max(len(line), 1) * _LETTER / width) for line in text.split("\n")) for text, width in columns
    )


def _answer(question: Question) -> dict[str, Any]:
    """Return what the cell of an answer takes."""
    if question.choices and len(",".join(question.choices)) <= _LONGEST_LIST:
        named = ", ".join(words(choice) for choice in question.choices)
        return {
            "validate": "list",
            "source": list(question.choices),
            "error_title": "Not one of the list",
            "error_message": named[:255],
        }
    if question.smallest is not None and question.largest is not None:
        return {
            "validate": "integer",
            "criteria": "between",
            "minimum": question.smallest,
            "maximum": question.largest,
            "error_title": "Not a whole number in range",
            "error_message": f"Allowed: a whole number from {question.smallest} to {question.largest}.",
        }
    if question.unit:
        return {
            "validate": "decimal",
            "criteria": "between",
            "minimum": -1e9,
            "maximum": 1e9,
            "error_title": "Not a number",
            "error_message": "A number alone; its unit goes into the next cell.",
        }
    return _at_most(_LONGEST_ANSWER, "answer")


def _at_most(longest: int, name: str) -> dict[str, Any]:
    return {
        "validate": "length",
        "criteria": "<=",
        "value": longest,
        "error_title": "Too long",
        "error_message": f"{name}: at most {longest} characters.",
    }
