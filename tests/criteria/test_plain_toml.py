"""The reading of plain tables is the general TOML reader's, or none."""

import tomllib

import pytest

from specapp.criteria.loader import DATA_FOLDER
from specapp.criteria.plain_toml import plain_tables


@pytest.mark.parametrize("path", sorted(DATA_FOLDER.glob("*.toml")), ids=lambda path: path.stem)
def test_the_data_files_are_plain_and_read_alike(path):
    text = path.read_text("utf-8")
    tables = plain_tables(text, "criterion")
    assert tables == tomllib.loads(text)["criterion"]
    assert [{key: type(value) for key, value in table.items()} for table in tables] == [
        {key: type(value) for key, value in table.items()} for table in tomllib.loads(text)["criterion"]
    ]


@pytest.mark.parametrize(
    "value",
    [
        "'text'",
        "''",
        '"text"',
        """ "it's" """.strip(),
        "'say \"a\"'",
        "'µ ≤'",
        "0",
        "-7",
        "12",
        "0.5",
        "-0.0",
        "1.50",
        "2022-04-01",
        "true",
        "false",
    ],
)
def test_a_plain_value_is_read_alike(value):
    text = f"# remark\n\n[[row]]\nkey = {value}\n"
    assert repr(plain_tables(text, "row")) == repr(tomllib.loads(text)["row"])


@pytest.mark.parametrize(
    "text",
    [
        'key = "a\\tb"',
        'key = """a"""',
        "key = 'a' # remark",
        "key = '''a'''",
        "key='a'",
        " key = 'a'",
        "key = 007",
        "key = 1_000",
        "key = +1",
        "key = 1e3",
        "key = .5",
        "key = inf",
        "key = 2022-02-30",
        "key = 2022-02-01T00:00:00",
        "key = [1]",
        "key = 'a\tb'",
        "a.b = 1",
        "key = 1\nkey = 2",
        "key = 99999999999999999999",
        "[other]",
        "nonsense",
    ],
)
def test_whatever_is_not_plain_is_left_to_the_general_reader(text):
    assert plain_tables(f"[[row]]\n{text}\n", "row") is None


def test_a_field_before_the_first_table_is_left_to_the_general_reader():
    assert plain_tables("key = 1\n[[row]]\n", "row") is None
