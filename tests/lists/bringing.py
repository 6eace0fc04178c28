"""Sheets for tests of the import."""

from io import BytesIO

import xlsxwriter

HEADS = ("tag", "service_class", "stage_count", "hazardous_area", "bull_gear.speed (rpm)")
PINIONS = ("pinions[0].speed (rpm)", "pinions[1].speed (rpm)")
SOUND = ("K-11", "packaged_air", 3, "unclassified", 1490, 31400, 40200)


def workbook(*rows, heads=(*HEADS, *PINIONS), sheet="machines"):
    """Return a workbook of these rows as bytes."""
    out = BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": True})
    page = book.add_worksheet(sheet)
    for number, row in enumerate((heads, *rows)):
        for index, cell in enumerate(row):
            page.write(number, index, cell)
    book.close()
    return out.getvalue()


def pasted(*rows, heads=(*HEADS, *PINIONS)):
    return "\r\n".join("\t".join(map(str, row)) for row in (heads, *rows))
