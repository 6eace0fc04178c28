"""Writing the index of a sheet into the file that is being made."""

from __future__ import annotations

from typing import Final

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFStream, PDFString, PDFZCompress
from reportlab.pdfgen.canvas import Canvas

from specapp.documents.place_index import PIECE, SHEET, SheetPlaces

UNDATED: Final = "D:20000101000000Z"  # the writer's own date where the same bytes are asked for


def keep_places(canvas: Canvas, number: int, places: SheetPlaces) -> None:
    """Put the index of the sheet shown last into its page-piece dictionary; ``number`` counts from 0."""
    document = canvas._doc
    stream = PDFStream(content=places.encoded(), filters=[PDFZCompress])
    private = PDFDictionary({SHEET: number + 1, "Places": document.Reference(stream)})
    piece = PDFDictionary({"LastModified": PDFString(UNDATED), "Private": private})
    written = document.Pages[-1]
    written.PieceInfo = PDFDictionary({PIECE: piece})
    written.LastModified = PDFString(UNDATED)
