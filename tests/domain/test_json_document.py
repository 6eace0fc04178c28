"""Whole documents that are refused, and what only JSON text can hold."""

import json

import pytest

from tests.domain.samples import as_bytes, lines, machine, pinion, read

LEVELS = "allowed: at most 24 levels"


@pytest.mark.parametrize(
    ("document", "line"),
    [
        (b"", "document: found nothing; allowed: an object with the fields of machine/1"),
        (b" \n", "document: found nothing; allowed: an object with the fields of machine/1"),
        (b"[]", "document: found an empty list; allowed: an object with the fields of machine/1"),
        (b"null", "document: found null; allowed: an object with the fields of machine/1"),
        (b'"K-1"', 'document: found "K-1"; allowed: an object with the fields of machine/1'),
        (b"NaN", "document: found NaN; allowed: an object with the fields of machine/1"),
        (
            b'{"tag": }',
            "document: found text that is not JSON at line 1, column 9; allowed: JSON (expecting value)",
        ),
        (b"{} {}", "document: found text that is not JSON at line 1, column 4; allowed: JSON (extra data)"),
        (
            b'{"tag": "\xff"}',
            "document: found a byte that is not UTF-8 at position 9; allowed: JSON in UTF-8",
        ),
        (
            "{}".encode("utf-16"),
            "document: found a byte that is not UTF-8 at position 0; allowed: JSON in UTF-8",
        ),
        (b" " * 1_000_001, "document: found 1000001 bytes; allowed: at most 1000000 bytes"),
        ("\u00e9" * 500_001, "document: found 1000002 bytes; allowed: at most 1000000 bytes"),
        (b"[" * 900_000, f"document: found nesting deeper than 24; {LEVELS}"),
        (b'{"a":' * 180_000, f"document: found nesting deeper than 24; {LEVELS}"),
        ([machine()], "document: found a list of 1; allowed: an object with the fields of machine/1"),
        (7, "document: found 7; allowed: an object with the fields of machine/1"),
        ({1: 2}, "document: found a key of type int in document; allowed: keys that are texts"),
    ],
    ids=lambda value: ascii(value)[:30],
)
def test_the_whole_document_is_refused(document, line):
    assert lines(document) == [line]


def nested(levels):
    value: object = 1
    for _ in range(levels - 1):
        value = [value]
    return machine(title=value)


@pytest.mark.parametrize("form", [dict, as_bytes, json.dumps])
def test_the_depth_allowed_ends_at_24(form):
    assert lines(form(nested(24)))[0].startswith("title: found a list of 1; allowed: a text")
    assert lines(form(nested(25))) == [f"document: found nesting deeper than 24; {LEVELS}"]


def test_brackets_inside_texts_do_not_count():
    assert lines(as_bytes(machine(title="[" * 300)))[0].startswith("title: found")
    assert read(as_bytes(machine(title='\\"' + "[" * 150, service="{" * 190))).title.endswith("[")


def test_an_object_that_holds_itself_is_too_deep():
    told = machine()
    told["driver"] = told
    assert lines(told) == [f"document: found nesting deeper than 24; {LEVELS}"]


def test_a_document_of_just_the_size_allowed_is_read():
    text = as_bytes(machine())
    assert read(text + b" " * (1_000_000 - len(text))).tag == "K-4410"


@pytest.mark.parametrize(
    ("number", "found"),
    [
        ("NaN", "NaN"),
        ("Infinity", "Infinity"),
        ("-Infinity", "-Infinity"),
        ("1e999", "1e999"),
        ("-1e999", "-1e999"),
        ("9" * 5000, "a number of 5000 characters"),
    ],
)
def test_numbers_that_are_none_are_reported_at_their_field(number, found):
    text = json.dumps(pinion(journal_diameter="HERE")).replace('"HERE"', number)
    assert lines(text) == [
        f"pinions[0].journal_diameter (P1): found {found}; allowed: 10 to 500 mm (not a finite number)"
    ]
    text = json.dumps(machine(title="HERE")).replace('"HERE"', number)
    assert lines(text) == [f"title: found {found}; allowed: a text: one line of 0 to 200 characters"]


def test_a_key_given_twice_is_named_where_it_stands():
    text = json.dumps(machine()).replace('"speed": "18200 rpm"', '"speed": "18200 rpm", "speed": 18300')
    assert lines(text) == ['pinions[0].speed (P1): found the key "speed" twice; allowed: each key once']


def test_keys_of_any_kind_are_shown_safely():
    assert lines(machine(**{"a\nb": 1}))[0].startswith(
        r'["a\nb"]: found 1; allowed: fields of machine/1 only'
    )
    assert lines(machine(**{"\ud800": 1})) == [
        r'["\ud800"]: found "\ud800"; allowed: keys of printable characters'
    ]
    assert lines(machine(**{"[key]": 1}))[0].startswith(
        '["[key]"]: found 1; allowed: fields of machine/1 only'
    )
    assert lines(machine(**{"k" * 300: 1})) == [
        (
            f'["{"k" * 60}..." (300 characters)]: found a key of 300 characters; '
            "allowed: keys of at most 200 characters"
        )
    ]
    assert lines(machine(**{"": 1}))[0].startswith('[""]: found 1')
