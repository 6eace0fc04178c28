"""Text made fit to print, and the glyphs that everything printed needs."""

import pytest

from specapp.documents import marks
from specapp.documents.fonts import BOLD, MARKER, TEXT, Lettering, glyph_name, missing_glyphs
from specapp.kernel.units import UNITS


class PdfDocument:
    """What a face asks of the document it is used in."""

    def __init__(self):
        self.fontMapping = {}
        self.delayedFonts = []


@pytest.fixture
def lettering():
    return Lettering(PdfDocument())


def test_every_mark_and_every_unit_has_a_glyph():
    needed = "".join(
        [
            *marks.STATUS_MARKS.values(),
            marks.STATUS_LEGEND,
            marks.SHAPE_LEGEND,
            marks.GOVERNS,
            marks.ACTS,
            MARKER,
            "†§×±−–…⁰¹²³⁴⁵⁶⁷⁸⁹\u202f≤≥Δ",
            *(unit.symbol for unit in UNITS.values()),
        ]
    )
    assert missing_glyphs(needed) == ()


@pytest.mark.parametrize(
    ("text", "missing"),
    [
        ("plain", ()),
        ("µm °C Ω ≤ Łódź Ελλάδα Москва", ()),
        ("压 机", ("压", "机")),
        ("שלום", ("ו", "ל", "ם", "ש")),
        ("e\u0301", ()),
        ("\ud800", ("\ud800",)),
    ],
)
def test_missing_characters_are_found(text, missing):
    assert set(missing_glyphs(text)) == set(missing)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("a\tb\x00c\x7f", "a b c "),
        ("two\nlines", "two\nlines"),
        ("turned \u202ed", "turned  d"),
        ("压x", f"{MARKER}x"),
        ("e\u0301", "é"),
        ("\ud800", MARKER),
    ],
)
def test_text_is_made_fit_to_print(lettering, text, printed):
    assert lettering.clean(text) == printed


def test_characters_replaced_are_remembered(lettering):
    lettering.clean("x 机压")
    lettering.clean("plain")
    assert lettering.missing() == ("压", "机")


def test_glyph_is_named_by_code_and_name():
    assert glyph_name("ש") == "U+05E9 HEBREW LETTER SHIN"
    assert glyph_name("\ue000") == "U+E000 unnamed"


def test_strings_are_escaped_for_pdf(lettering):
    ((_, literal),) = lettering.strings[TEXT]["a(b)\\c"]
    assert literal == r"(a\(b\)\\c)"


def test_other_characters_are_written_in_hexadecimal_codes(lettering):
    ((resource, code),) = lettering.strings[BOLD]["µ"]
    assert resource.startswith("/F")
    assert code.startswith("<")
    assert lettering.strings[BOLD]["µ"] == ((resource, code),)


def test_more_characters_than_one_subset_holds_go_on_in_another(lettering):
    letters = "".join(map(chr, range(0x100, 0x200)))
    pairs = lettering.strings[TEXT][letters]
    assert len({resource for resource, _ in pairs}) == 2
    assert sum(len(code) // 2 - 1 for _, code in pairs) == len(letters)


def test_figures_have_one_width(lettering):
    assert len({lettering.width(figure, TEXT, 7) for figure in "0123456789"}) == 1
