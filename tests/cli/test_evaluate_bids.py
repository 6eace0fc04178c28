"""`evaluate_bids`: the answer on standard output, or every problem on standard error and nothing else."""

import json

import pytest
from jsonschema import Draft202012Validator

from tests.cli.conftest import ROOT
from tests.evaluation.samples import bidder, bids

DOCUMENT = bids(
    bidder("A", currency="EUR", items={"licence": 9_000, "factory test": None}, inland=None, weeks=22),
    bidder(
        "B",
        fob=160_000,
        items={"licence": None, "factory test": "included"},
        factors={"Measurement": 0.8, "Integrity": 0.8},
    ),
    bidder("C", fob=90_000, items={}, factors={"Measurement": 0.5, "Integrity": 0.5}),
    settings={"method": "weighted", "alternative_weights": [[30, 70]], "estimates": {}},
)


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "bids.json"
    path.write_text(json.dumps(DOCUMENT))
    return path


def test_a_file_gives_the_evaluation(run, file):
    ended = run("evaluate_bids", file)
    answer = json.loads(ended.out)
    assert (ended.status, ended.lines) == (0, [])
    assert answer["format"] == "evaluation/1"
    assert {"name", "lines", "as_read", "evaluated", "technical", "passes"} <= answer["bidders"][0].keys()
    assert [ranked["weights"] for ranked in answer["rankings"]] == [[70, 30], [30, 70]]
    assert answer["open_points"][0]["bidder"] == "A"


def test_standard_input_gives_the_same_bytes(run, file):
    assert run("evaluate_bids", "-", stdin=file.read_bytes()).out == run("evaluate_bids", file).out


def test_text_is_a_table_to_read(run, file):
    ended = run("evaluate_bids", file, "--format", "text")
    lines = ended.out.decode().splitlines()
    assert (ended.status, ended.lines) == (0, [])
    assert max(map(len, lines)) <= 100
    rows = {line[:24].strip(): line[24:].split() for line in lines}
    assert rows["price fob"] == ["110,000.00", "160,000.00", "90,000.00"]
    assert rows["inland carriage"] == ["1,650.00+", "0.00", "0.00"]
    assert rows["factory test"] == ["open", "included", "open"]
    assert rows["licence"] == ["9,000.00", "9,000.00+", "9,000.00+"]
    assert rows["evaluated price"] == ["open", "169,000.00", "open"]
    assert rows["technical score"] == ["100.00", "80.00", "50.00", "fails"]
    assert any(line.startswith("not ranked  A: the evaluated price is open") for line in lines)
    assert any(line.startswith("not ranked  C: below the pass mark") for line in lines)


def test_many_bidders_stay_within_the_width(run):
    document = bids(*(bidder(f"bidder with a long name, number {number}", fob=9e11) for number in range(20)))
    ended = run("evaluate_bids", "-", "--format", "text", stdin=json.dumps(document).encode())
    assert max(map(len, ended.out.decode().splitlines())) <= 100


def test_unopened_offers_show_no_figure(run):
    unopened = {"name": "D", "factors": {"Measurement": 0, "Integrity": 0}}
    document = bids(bidder("A"), unopened, settings={"missing_items_from": "acceptable"})
    ended = run("evaluate_bids", "-", "--format", "text", stdin=json.dumps(document).encode())
    (line,) = [line for line in ended.out.decode().splitlines() if line.startswith("price fob")]
    assert line.split()[-1] == "-"


def test_every_problem_is_told_and_nothing_written(run):
    document = bids(bidder("A", fob=-1), bidder("B", items={"licence": "free"}), settings={"currency": "$"})
    ended = run("evaluate_bids", "-", stdin=json.dumps(document).encode())
    assert (ended.status, ended.out) == (2, b"")
    assert [line.split(":")[0] for line in ended.lines] == [
        "settings.currency",
        "bidders[0].fob (A)",
        'bidders[1].items["licence"] (B)',
    ]


@pytest.mark.parametrize(
    ("arguments", "start"),
    [
        (["absent.json"], "document: found nothing to read"),
        ([], "arguments: found"),
        (["-", "--format", "xml"], "arguments: found"),
        (["-", "--colour"], "arguments: found"),
    ],
)
def test_what_cannot_be_asked(run, arguments, start):
    ended = run("evaluate_bids", *arguments)
    assert (ended.status, ended.out) == (2, b"")
    assert ended.lines[0].startswith(start)


@pytest.mark.parametrize("stdin", [b"", b"[]", b"{", b"NaN", b"\xff\xfe", b"[" * 100_000, b" " * 1_000_001])
def test_what_is_no_document(run, stdin):
    ended = run("evaluate_bids", "-", stdin=stdin)
    assert (ended.status, ended.out, len(ended.lines)) == (2, b"", 1)
    assert ended.lines[0].startswith("document: found")


def test_it_runs_without_an_environment(run_process, file):
    ended = run_process("evaluate_bids", file)
    assert ended.status == 0
    assert json.loads(ended.out)["format"] == "evaluation/1"


def test_the_schema_of_bids_takes_them(run):
    schema = json.loads(run("schema", "bids").out)
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(DOCUMENT)


def test_the_sample_turns_the_ranking_as_read(run):
    answer = json.loads(run("evaluate_bids", ROOT / "fixtures" / "bids" / "three_offers.json").out)
    as_read = [each["name"] for each in sorted(answer["bidders"], key=lambda each: each["as_read"])]
    ranked = [row["name"] for row in answer["rankings"][0]["rows"]]
    assert as_read[0] == ranked[-1]
    assert answer["open_points"] == []
