"""The copy of an issued sheet that says by what it is superseded. The issued file itself never changes."""

from __future__ import annotations

from io import BytesIO

from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject, TextStringObject
from reportlab.lib.colors import black
from reportlab.pdfgen.canvas import Canvas

from specapp.documents.book import WRITING
from specapp.documents.fonts import BOLD, Lettering
from specapp.documents.ink import Ink


def superseded_copy(issued: bytes, line: str) -> bytes:
    """Return a PDF issued here with `line` across every sheet, "superseded by revision B, 2026-03-31".

    Only for files that this program has written: nothing here guards against a hostile one.
    """
    writer = PdfWriter(clone_from=BytesIO(issued))
    overlays: dict[tuple[float, float], PdfReader] = {}
    for page in writer.pages:
        size = float(page.mediabox.width), float(page.mediabox.height)
        if size not in overlays:
            overlays[size] = PdfReader(BytesIO(_overlay(size, line)))
        page.merge_page(overlays[size].pages[0])
    title = writer.metadata.get("/Title", "") if writer.metadata else ""
    writer.add_metadata({NameObject("/Title"): TextStringObject(f"{title}, {line}")})
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _overlay(size: tuple[float, float], line: str) -> bytes:
    width, height = size
    out = BytesIO()
    canvas = Canvas(out, pagesize=size, invariant=1)
    lettering = Lettering(canvas._doc)
    text = lettering.clean(line)
    along = (width**2 + height**2) ** 0.5 * 0.72
    letter = min(64.0, along / max(lettering.width(text, BOLD, 1.0), 0.1))
    half = lettering.width(text, BOLD, letter) / 2
    ink = Ink(lettering)
    ink.save()
    ink.pen(0.5)
    ink.literal("1 Tr")
    turn = 0.7071
    ink.text_turned(width / 2 - half * turn, height / 2 - half * turn, text, 45.0, BOLD, letter)
    ink.restore()
    ink.text(40.0, height - 36.0, text, BOLD, 7.5)
    with WRITING:
        canvas.setFillColor(black)
        canvas.addLiteral(f"q\n{ink.operators()}\nQ")
        canvas.showPage()
        canvas.save()
    return out.getvalue()
