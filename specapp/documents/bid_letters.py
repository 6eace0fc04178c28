"""The letter that a bidder gets at the end of an enquiry: chosen, or not.

It is made of what concerns that bidder alone: no other bidder, no price, no score and no place stands in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from specapp.documents.book import Book
from specapp.documents.options import Options
from specapp.documents.sheet import TitleBlock
from specapp.documents.wording import NONE

TITLE: Final = "Letter"
_CHOSEN: Final = (
    "Your offer was chosen. We intend to order what you offered, with the clarifications you gave.",
    "This letter is no order. The contract is made by the purchase order, whose terms go before this letter.",
    "Until the order is signed, please keep your offer valid and tell us of anything that would change it.",
)
_NOT_CHOSEN: Final = (
    "We thank you for your offer and for the work that stands behind it. It was not chosen.",
    "Your files stay sealed to others and confidential; we use them for nothing else.",
    "On request we tell you how your own offer met what was asked. Of other offers we say nothing.",
)


@dataclass(frozen=True, slots=True)
class BidLetter:
    """What a letter says. `date` is an ISO date; `offer` names the offer that was chosen, empty for none."""

    reference: str
    subject: str
    project: str
    to: str
    contact: str
    date: str
    sender: str
    offer: str
    standing: str


def render(letter: BidLetter, options: Options) -> bytes:
    """Return the letter as PDF, the same bytes for the same letter and options."""
    block = TitleBlock(
        project=letter.project,
        machine=letter.subject,
        title=f"{letter.reference} {TITLE}",
        revision="",
        date=letter.date,
        standing=letter.standing,
        setting_units=NONE,
        to_confirm=NONE,
        prepared=letter.sender,
        checked="",
        approved="",
    )
    book = Book(options, block, (), subject="Letter to a bidder", cover=False)
    book.section(f"To {letter.to}", landscape=False, numbered=False)
    if letter.contact:
        book.paragraph(letter.contact)
    book.paragraph(f"Enquiry {letter.reference}: {letter.subject}", after=10)
    for text in _CHOSEN if letter.offer else _NOT_CHOSEN:
        book.paragraph(text, after=8)
    if letter.offer:
        book.paragraph(f"Offer: {letter.offer}", after=8)
    book.paragraph(f"{letter.date}   {letter.sender}", after=8)
    return book.finish()
