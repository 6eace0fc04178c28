"""What a document may be told besides the proposal: paper, reader's units, title block entries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from specapp.documents.changes import Changes

PageSize = Literal["A4", "A3", "Letter", "Tabloid"]
DisplayUnits = Literal["si", "us"]

PAGE_SIZES: Final[tuple[PageSize, ...]] = ("A4", "A3", "Letter", "Tabloid")
NOT_ISSUED: Final = "working, not issued"


@dataclass(frozen=True, slots=True)
class Options:
    """Options common to every document.

    ``display_units`` adds the converted value beside a setting and never re-rounds it; None shows
    the setting alone. ``issued_on`` is an ISO date, printed as given: a document reads no clock.
    ``watermark`` is drawn large and open across every sheet when it is not empty. ``code`` is the short
    code under which an issued sheet is looked up; it is printed on every sheet and kept in the file.
    ``number`` is the document's number in the owner's register. ``changes`` is what a revision changes
    against the one it replaces: rows get a bar in the margin, drawings clouds.
    """

    page_size: PageSize = "A4"
    display_units: DisplayUnits | None = None
    project: str = ""
    standing: str = NOT_ISSUED
    revision: str = ""
    issued_on: str = ""
    prepared: str = ""
    checked: str = ""
    approved: str = ""
    watermark: str = ""
    code: str = ""
    number: str = ""
    changes: Changes | None = None

    def __post_init__(self) -> None:
        if self.page_size not in PAGE_SIZES:
            allowed = ", ".join(PAGE_SIZES)
            raise ValueError(f"page_size: found {self.page_size!r}, allowed are {allowed}")
        if self.display_units not in (None, "si", "us"):
            raise ValueError(f"display_units: found {self.display_units!r}, allowed are si and us")

    def changed(self, subject: str, item: str, field: str = "") -> bool:
        """Tell whether the revision printed changes an item in a subject of the comparison."""
        return self.changes is not None and self.changes.touch(subject, item, field)

    def changed_point(self, key: str) -> bool:
        """Tell whether the revision printed changes what a point is, apart from its setpoints."""
        return self.changes is not None and self.changes.touch_point(key)
