"""`propose` with one description: exit status, what is written where, and what bad input gets."""

import json
import os

import pytest

from specapp.cli import propose as command
from specapp.documents.registry import DOCUMENTS
from tests.cli.conftest import MACHINES

SAMPLES = sorted(MACHINES.glob("*.json"))


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_gives_its_proposal(run, sample):
    ended = run("propose", sample)
    assert (ended.status, ended.lines) == (0, [])
    proposal = json.loads(ended.out)
    assert proposal["format"] == "proposal/1"
    assert proposal["machine"]["tag"] == json.loads(sample.read_text())["tag"]
    assert ended.out.endswith(b"}\n")


def test_standard_input_gives_the_same_bytes_as_the_file(run):
    sample = MACHINES / "minimal_process.json"
    assert run("propose", "-", stdin=sample.read_bytes()).out == run("propose", sample).out


def test_display_units_change_no_byte_of_the_document(run):
    sample = MACHINES / "us_units_process.json"
    plain = run("propose", sample).out
    assert plain == run("propose", sample, "--display-units", "si").out
    assert plain == run("propose", sample, "--display-units", "us").out


def test_every_problem_comes_at_once_with_its_path_and_nothing_else_happens(run, machine_file, tmp_path):
    path = machine_file(
        stage_count=99, tag="", pinions=[{"speed": "100 mm"}, {"speed": "20000 rpm"}], colour="red"
    )
    out = tmp_path / "results"
    ended = run("propose", path, "--out", out)
    assert (ended.status, ended.out) == (2, b"")
    assert not out.exists()
    paths = [line.split(":")[0].split(" (")[0] for line in ended.lines]
    assert {"stage_count", "tag", "pinions[0].speed", "colour"} <= set(paths)
    assert any(line.startswith("pinions[0].speed (P1): found ") for line in ended.lines)
    assert all("; allowed: " in line for line in ended.lines)


@pytest.mark.parametrize(
    "data",
    [b"", b"[]", b"{", b"\xff\xfe", b"null", b"[" * 100_000, b"{" + b" " * 1_000_001, b'"text"', b"\0"],
    ids=["empty", "list", "cut off", "not text", "null", "deep", "large", "text", "zero byte"],
)
def test_a_file_that_holds_no_description_is_refused_at_document(run, data):
    ended = run("propose", "-", stdin=data)
    assert (ended.status, ended.out) == (2, b"")
    assert len(ended.lines) == 1
    assert ended.lines[0].startswith("document: found ")


@pytest.mark.parametrize("name", ["absent.json", "x" * 300, "a\0b", "no\nsuch\u202efile"])
def test_a_file_that_is_not_there_is_told_on_one_line(run, tmp_path, name):
    ended = run("propose", f"{tmp_path}/{name}")
    assert (ended.status, ended.out) == (2, b"")
    assert len(ended.lines) == 1
    assert ended.lines[0].startswith("document: found nothing to read at ")


def test_an_endless_file_is_not_read_to_its_end(run):
    ended = run("propose", "/dev/zero")
    assert ended.status == 2
    assert ended.lines[0].startswith("document: ")


def test_a_large_file_is_refused_by_its_size(run, tmp_path):
    path = tmp_path / "large.json"
    path.write_bytes(b"{" + b" " * 2_000_000 + b"}")
    ended = run("propose", path)
    assert ended.lines == ["document: found 2000002 bytes; allowed: at most 1000000 bytes"]


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("x.json", "--format", "xml"),
        ("x.json", "--display-units", "imperial"),
        ("x.json", "--form", "text"),
        ("x.json", "--out"),
        ("x.json", "--out", ""),
        ("x.json", "--nonsense"),
    ],
)
def test_bad_arguments_are_told_on_one_line(run, arguments):
    ended = run("propose", *arguments)
    assert (ended.status, ended.out) == (2, b"")
    assert len(ended.lines) == 1
    assert ended.lines[0].startswith("arguments: found ")


@pytest.mark.parametrize("arguments", [(), ("",), ("nonsense",)])
def test_an_unknown_command_names_the_known_ones(run, arguments):
    ended = run(*arguments)
    assert ended.status == 2
    assert "propose, schema, evaluate_bids" in ended.lines[0]


CRITERIA = '[[criterion]]\nkey = "radial.trip_multiple"\nvalue = 1.8\nreason = "owner, clause 7.3"\n'


def test_a_criteria_file_is_in_force_and_the_machine_wins_over_it(run, tmp_path, machine_file):
    file = tmp_path / "criteria.toml"
    file.write_text(CRITERIA)

    def override(*arguments):
        used = json.loads(run("propose", *arguments).out)["criteria"]
        return next(row["override"] for row in used if row["key"] == "radial.trip_multiple")

    assert override(MACHINES / "minimal_process.json") is None
    from_file = override(MACHINES / "minimal_process.json", "--criteria", file)
    assert (from_file["value"], from_file["origin"]) == (1.8, "project")
    own = machine_file(criteria={"radial.trip_multiple": {"value": 1.7, "reason": "maker's letter"}})
    from_machine = override(own, "--criteria", file)
    assert (from_machine["value"], from_machine["origin"]) == (1.7, "machine")


def test_problems_of_criteria_file_description_and_folder_come_together(run, tmp_path, machine_file):
    file = tmp_path / "criteria.toml"
    file.write_text(CRITERIA.replace("reason", "# reason"))
    taken = tmp_path / "taken"
    taken.write_text("")
    ended = run("propose", machine_file(stage_count=0), "--criteria", file, "--out", taken)
    assert (ended.status, ended.out) == (2, b"")
    starts = [line.split(" ")[0].rstrip(":") for line in ended.lines]
    assert starts == ["stage_count", 'criteria["radial.trip_multiple"].reason', "--out"]


def test_a_criteria_file_that_is_not_there_or_not_toml_is_told_at_document(run, tmp_path):
    broken = tmp_path / "broken.toml"
    broken.write_text("{")
    for file in (broken, tmp_path / "absent.toml", tmp_path):
        ended = run("propose", MACHINES / "minimal_process.json", "--criteria", file)
        assert (ended.status, ended.out) == (2, b"")
        assert len(ended.lines) == 1
        assert ended.lines[0].startswith("document (criteria file ")


def test_results_are_every_document_of_the_registry_and_the_same_twice(run, tmp_path):
    sample = MACHINES / "minimal_packaged.json"
    first, second = tmp_path / "new" / "first", tmp_path / "second"
    assert run("propose", sample, "--out", first).status == 0
    assert run("propose", sample, "--out", second).status == 0
    names = {each.filename for each in DOCUMENTS.values()}
    assert {path.name for path in first.iterdir()} == names
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes(), name
    assert run("propose", sample, "--out", first).status == 0  # over the results of before


def test_a_folder_that_is_a_file_is_told_before_anything_is_written(run, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("mine")
    for out in (taken, taken / "below"):
        ended = run("propose", MACHINES / "minimal_process.json", "--out", out)
        assert (ended.status, ended.out) == (2, b"")
        assert ended.lines[0].startswith("--out: found ")
    assert taken.read_text() == "mine"


def test_a_folder_that_cannot_be_made_leaves_nothing_behind(run, tmp_path):
    (tmp_path / "results" / "points.csv").mkdir(parents=True)
    ended = run("propose", MACHINES / "minimal_process.json", "--out", tmp_path / "results")
    assert (ended.status, ended.out) == (2, b"")
    assert ended.lines[0].startswith("--out: found ")
    assert not list((tmp_path / "results").glob(".*"))


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write everywhere")
def test_a_folder_that_is_not_writable_is_told(run, tmp_path):
    tmp_path.chmod(0o500)
    ended = run("propose", MACHINES / "minimal_process.json", "--out", tmp_path / "new")
    assert ended.status == 2
    assert "not writable" in ended.lines[0]


def test_strict_makes_a_failing_check_exit_1_and_nothing_else(run):
    failing, passing = MACHINES / "contract_example.json", MACHINES / "minimal_process.json"
    plain = run("propose", failing)
    assert any(check["result"] == "fail" for check in json.loads(plain.out)["checks"])
    assert plain.status == 0
    strict = run("propose", failing, "--strict")
    assert (strict.status, strict.out) == (1, plain.out)
    assert run("propose", passing, "--strict").status == 0


def test_a_fault_of_the_program_is_one_line_and_status_3(run, monkeypatch):
    def broken(machine, criteria):
        raise KeyError("some\nthing")

    monkeypatch.setattr(command, "propose_description", broken)
    ended = run("propose", MACHINES / "minimal_process.json")
    assert (ended.status, ended.out) == (3, b"")
    assert len(ended.lines) == 1
    assert "a fault of the program, not of the input in propose.py, line " in ended.lines[0]


def test_the_command_works_in_any_folder_with_an_empty_environment(run_process, tmp_path):
    ended = run_process("propose", MACHINES / "minimal_process.json", cwd=tmp_path)
    assert (ended.status, ended.lines) == (0, [])
    assert json.loads(ended.out)["format"] == "proposal/1"
    assert not list(tmp_path.iterdir())


def test_errors_of_the_process_go_to_standard_error_alone(run_process):
    ended = run_process("propose", "-", stdin=b"{}")
    assert (ended.status, ended.out) == (2, b"")
    assert any(line.startswith("tag: ") for line in ended.lines)
