"""Schedules: breaks, repeated headers and tags, splits sideways, folded narrow tables."""

import pytest

from specapp.documents.book import Book
from specapp.documents.marks import BAR
from specapp.documents.options import Options
from specapp.documents.sheet import TitleBlock
from specapp.documents.tables import Column, Group, Table, set_table, trimmed
from tests.documents.reading import sheet_texts

BLOCK = TitleBlock(
    project="", machine="K-1", title="Test", revision="", date="", standing="", setting_units="SI",
    to_confirm="", prepared="", checked="", approved="",
)  # fmt: skip


@pytest.fixture
def book():
    book = Book(Options(), BLOCK, (), subject="", cover=False)
    book.section("Schedule", landscape=True, new_sheet=True)
    return book


def pages(book):
    return sheet_texts(book.finish())


def test_header_is_repeated_on_every_sheet(book):
    columns = (Column("Tag", widest=300), Column("Meaning", widest=300))
    set_table(book, Table(columns, [(f"T-{i:03}", "word " * 40) for i in range(60)]))
    texts = pages(book)
    assert len(texts) > 1
    assert all("Meaning" in text for text in texts)
    assert all("Schedule" in text for text in texts)
    joined = "".join(texts)
    assert all(joined.count(f"T-{i:03}") == 1 for i in range(60))


def test_table_too_wide_is_split_and_repeats_its_tags(book):
    columns = (Column("Tag", repeat=True), *(Column(f"Heading{i}") for i in range(30)))
    rows = [(f"T-{n}", *(f"value{n}x{i}" for i in range(30))) for n in range(5)]
    set_table(book, Table(columns, rows))
    text = "".join(pages(book))
    assert text.count("T-3") >= 2
    assert all(
        text.count(f"value{n}x{i}\n") + text.count(f"value{n}x{i} ") >= 1 for n in range(5) for i in range(29)
    )
    assert "part 1 of 2" in text
    assert "part 2 of 2" in text


def test_row_taller_than_a_sheet_is_parted_and_complete(book):
    words = [f"w{i:04}" for i in range(3000)]
    set_table(
        book, Table((Column("Tag"), Column("Long", widest=200)), [("T-1", " ".join(words)), ("T-2", "end")])
    )
    text = "".join(pages(book))
    assert all(word in text for word in words)
    assert "T-2" in text


def test_name_of_a_group_never_stands_last_on_a_sheet(book):
    columns = (Column("Tag"), Column("Meaning", widest=700))
    rows = []
    for i in range(40):
        rows += [Group(f"Group {i:02}"), (f"T-{i:02}", "word " * 100)]
    set_table(book, Table(columns, rows))
    for text in pages(book):
        for line, after in zip(text.splitlines(), text.splitlines()[1:], strict=False):
            if line.startswith("Group "):
                assert after.startswith(line.replace("Group ", "T-"))


def test_narrow_table_is_folded_over_the_width(book):
    rows = [(str(i), f"T-{i:03}") for i in range(90)]
    set_table(book, Table((Column("No.", "right"), Column("Tag")), rows))
    (text,) = pages(book)
    assert all(f"T-{i:03}" in text for i in range(90))
    assert text.count("Tag") > 2


def test_columns_without_a_word_are_left_out():
    columns = (Column("Tag", repeat=True), Column("Empty"), Column("Trip"))
    table = trimmed(columns, [("", "–", "1"), ("", "", "")])
    assert [column.heading for column in table.columns] == ["Tag", "Trip"]
    assert table.rows == [("", "1"), ("", "")]


def test_stopped_state_is_hatched(book):
    set_table(book, Table((Column("Tag"), Column("State")), [("T-1", f"{BAR} hold"), ("T-2", "● proposed")]))
    drawn = book.ink.operators()
    assert drawn.count("0.15 w") == 1


def test_empty_table_takes_no_room(book):
    before = book.y
    set_table(book, Table((Column("Tag"),), []))
    assert book.y == before
