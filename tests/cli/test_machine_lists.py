"""`propose` with lists: several files, a folder, a workbook, a CSV file."""

import json
import os
import pty
import subprocess
import sys

import pytest
from openpyxl import Workbook

from specapp.cli import answers, fleet
from specapp.cli.results_folder import folder_name
from specapp.documents.registry import DOCUMENTS
from tests.cli.conftest import MACHINES, ROOT

HEADS = "tag,service_class,stage_count,bull_gear.speed,pinions[0].speed,pinions[1].speed,hazardous_area"
GOOD = "{tag},process,3,1485 rpm,11200,15600,unclassified"


def csv(path, *rows):
    path.write_text("\n".join([HEADS, *rows, ""]), "utf-8")
    return path


def tags(ended):
    return [json.loads(line)["machine"]["tag"] for line in ended.out.splitlines()]


@pytest.fixture
def one_good_one_bad(tmp_path):
    return csv(tmp_path / "list.csv", GOOD.format(tag="K-1"), GOOD.format(tag="K-2").replace("15600", "5 mm"))


def test_several_files_give_a_line_each_in_their_order(run):
    samples = [
        MACHINES / f"{name}.json" for name in ("minimal_process", "minimal_packaged", "minimal_process")
    ]
    ended = run("propose", *samples)
    assert (ended.status, ended.lines) == (0, [])
    assert tags(ended) == ["K-1210", "C-305", "K-1210"]


def test_a_line_of_a_list_is_the_document_of_the_one(run):
    sample = MACHINES / "minimal_process.json"
    line = run("propose", sample, sample).out.splitlines()[0]
    assert json.loads(line) == json.loads(run("propose", sample).out)


def test_a_folder_gives_its_machines_by_name_and_passes_over_other_files(run, machine_file, tmp_path):
    machine_file("b.json", tag="K-2")
    machine_file("a.JSON", tag="K-1")
    csv(tmp_path / "c.csv", GOOD.format(tag="K-3"), GOOD.format(tag="K-4"))
    (tmp_path / "readme.md").write_text("no machine")
    (tmp_path / ".hidden.json").write_text("no machine")
    ended = run("propose", tmp_path)
    assert (ended.status, ended.lines) == (0, [])
    assert tags(ended) == ["K-1", "K-2", "K-3", "K-4"]


def test_a_folder_without_machines_is_told(run, tmp_path):
    ended = run("propose", tmp_path)
    assert (ended.status, ended.out) == (2, b"")
    assert ended.lines[0].startswith(f"{tmp_path}: document: found a folder without machines")


def test_csv_and_workbook_rows_give_the_answers_of_their_descriptions(run, tmp_path, machine_file):
    document = machine_file(
        tag="K-1",
        title=None,
        stage_count=3,
        bull_gear={"speed": "1485 rpm"},
        pinions=[{"speed": "11200 rpm"}, {"speed": "15600 rpm"}],
        hazardous_area="unclassified",
    )
    one = json.loads(run("propose", document).out)
    book = Workbook()
    book.active.append(HEADS.split(","))
    book.active.append(["K-1", "process", 3, 1485, 11200.0, "15,600 rpm", "unclassified"])
    book.save(tmp_path / "list.xlsx")
    for path in (csv(tmp_path / "list.csv", GOOD.format(tag="K-1")), tmp_path / "list.xlsx"):
        ended = run("propose", path)
        assert (ended.status, ended.lines) == (0, [])
        assert json.loads(ended.out) == one


def test_a_bad_row_costs_no_other_row_and_its_cell_is_named(run, one_good_one_bad):
    ended = run("propose", one_good_one_bad)
    assert ended.status == 2
    assert tags(ended) == ["K-1"]
    assert len(ended.lines) == 1
    assert ended.lines[0].startswith(
        f'{one_good_one_bad}, row 3, column F: pinions[1].speed (P2): found "5 mm"'
    )


def test_a_cell_that_cannot_be_read_is_one_problem(run, tmp_path):
    book = Workbook()
    book.active.append(HEADS.split(","))
    book.active.append(["K-1", "process", "=1+2", 1485, 11200, 15600, "unclassified"])
    book.save(tmp_path / "list.xlsx")
    ended = run("propose", tmp_path / "list.xlsx")
    assert (ended.status, ended.out) == (2, b"")
    (line,) = ended.lines
    assert ", row 2, column C: stage_count: found a formula" in line


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("list.csv", b""),
        ("list.csv", b"\xff"),
        ("list.csv", b"tag\n"),
        ("list.csv", b"colour\nred\n"),
        ("list.xlsx", b""),
        ("list.xlsx", b"tag\nK-1\n"),
        ("list.xls", b"\xd0\xcf\x11\xe0"),
        ("list.ods", b"PK"),
    ],
)
def test_a_list_that_cannot_be_read_is_told_with_its_name(run, tmp_path, name, data):
    path = tmp_path / name
    path.write_bytes(data)
    ended = run("propose", path)
    assert (ended.status, ended.out) == (2, b"")
    assert len(ended.lines) == 1
    assert ended.lines[0].startswith(f"{path}: ")


def test_an_empty_file_among_others_is_told(run, tmp_path):
    empty = tmp_path / "empty.json"
    empty.write_bytes(b"")
    ended = run("propose", MACHINES / "minimal_process.json", empty, tmp_path / "absent.json")
    assert ended.status == 2
    assert tags(ended) == ["K-1210"]
    assert [line.split(": ")[:2] for line in ended.lines] == [
        [str(empty), "document"],
        [str(tmp_path / "absent.json"), "document"],
    ]


def test_strict_is_1_where_a_check_fails_and_2_where_there_is_an_input_error_too(run, tmp_path):
    failing, passing = MACHINES / "contract_example.json", MACHINES / "minimal_process.json"
    assert run("propose", failing, passing).status == 0
    assert run("propose", failing, passing, "--strict").status == 1
    assert run("propose", failing, tmp_path / "absent.json", "--strict").status == 2


def test_results_go_to_a_folder_for_each_tag(run, tmp_path, machine_file):
    files = [machine_file("a.json", tag="K-1"), machine_file("b.json", tag="../K 2")]
    out = tmp_path / "results"
    ended = run("propose", *files, "--out", out)
    assert (ended.status, ended.lines) == (0, [])
    assert tags(ended) == ["K-1", "../K 2"]
    names = {each.filename for each in DOCUMENTS.values()}
    assert {path.name: {file.name for file in path.iterdir()} for path in out.iterdir()} == {
        "K-1": names,
        "_._K 2": names,
    }


def test_two_machines_for_one_folder_are_refused_and_the_first_stays(run, tmp_path, machine_file):
    files = [machine_file("a.json", tag="K-1"), machine_file("b.json", tag="k-1", title="second")]
    ended = run("propose", *files, "--out", tmp_path / "results")
    assert ended.status == 2
    assert tags(ended) == ["K-1"]
    assert ended.lines[0].startswith(f'{files[1]}: tag: found "k-1"')
    assert str(files[0]) in ended.lines[0]


@pytest.mark.parametrize(
    ("tag", "name"),
    [
        ("K-4410", "K-4410"),
        ("K 4410.A_b", "K 4410.A_b"),
        ("U1/K-1", "U1_K-1"),
        ("..K", "_.K"),
        ("../../etc/K1", "_._.._etc_K1"),
        (".K1", "_K1"),
        ("K1.", "K1_"),
        ("CON", "_CON"),
        ("con.K1", "_con.K1"),
        ("COM1", "_COM1"),
        ("CON1", "CON1"),
    ],
)
def test_a_tag_as_a_folder_leads_nowhere_else(tag, name):
    assert folder_name(tag) == name
    assert "/" not in folder_name(tag)


def test_the_program_failing_on_one_machine_costs_no_other(run, tmp_path, monkeypatch):
    real = answers.propose_description

    def fragile(machine, criteria):
        if machine.tag == "K-2":
            raise ZeroDivisionError("float division by zero")
        return real(machine, criteria)

    monkeypatch.setattr(answers, "propose_description", fragile)
    ended = run("propose", csv(tmp_path / "list.csv", *(GOOD.format(tag=f"K-{n}") for n in (1, 2, 3))))
    assert ended.status == 3
    assert tags(ended) == ["K-1", "K-3"]
    (line,) = ended.lines
    assert "a fault of the program" in line


def test_a_long_list_is_answered_by_several_processes_in_its_own_order(run, tmp_path, monkeypatch):
    rows = [GOOD.format(tag=f"K-{number}") for number in range(1, 9)]
    rows[2] = rows[2].replace("15600", "5 mm")
    path = csv(tmp_path / "list.csv", *rows)
    monkeypatch.setattr(fleet, "_processors", lambda: 1)
    alone = run("propose", path)
    monkeypatch.setattr(fleet, "_ALONE", 1)
    monkeypatch.setattr(fleet, "_AHEAD", 1)
    monkeypatch.setattr(fleet, "_processors", lambda: 2)
    together = run("propose", path)
    assert tags(together) == [f"K-{number}" for number in (1, 2, 4, 5, 6, 7, 8)]
    assert (together.status, together.out, together.lines) == (2, alone.out, alone.lines)


def test_results_of_several_processes_are_the_same_files(run, tmp_path, monkeypatch):
    path = csv(tmp_path / "list.csv", *(GOOD.format(tag=f"K-{number}") for number in (1, 2)))
    assert run("propose", path, "--out", tmp_path / "alone").status == 0
    monkeypatch.setattr(fleet, "_ALONE", 0)
    monkeypatch.setattr(fleet, "_processors", lambda: 2)
    assert run("propose", path, "--out", tmp_path / "together").status == 0
    files = [file for file in sorted((tmp_path / "alone").rglob("*")) if file.is_file()]
    assert len(files) == 2 * len(DOCUMENTS)
    for file in files:
        same = tmp_path / "together" / file.relative_to(tmp_path / "alone")
        assert same.read_bytes() == file.read_bytes(), file


def test_text_is_one_line_a_machine(run):
    ended = run("propose", MACHINES, "--format", "text")
    lines = ended.out.decode().splitlines()
    assert len(lines) == len(list(MACHINES.glob("*.json")))
    assert all(len(line) <= 100 for line in lines)


@pytest.mark.parametrize("machines", [3, 40])
def test_a_reader_who_leaves_early_is_no_error(machines):
    command_line = [sys.executable, "manage.py", "propose", *[str(MACHINES / "eight_stage.json")] * machines]
    process = subprocess.Popen(command_line, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    process.stdout.read(10)
    process.stdout.close()
    assert process.stderr.read() == b""
    assert process.wait() == 0
    process.stderr.close()


def test_a_full_device_is_told_without_a_traceback():
    with open("/dev/full", "wb") as full:
        command_line = [sys.executable, "manage.py", "propose", str(MACHINES / "eight_stage.json")]
        ended = subprocess.run(command_line, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, check=False)
    assert ended.returncode == 2
    assert ended.stderr.startswith(b"output: found ")
    assert ended.stderr.count(b"\n") == 1


def test_a_bar_is_drawn_on_a_terminal_and_taken_away(tmp_path):
    path = csv(tmp_path / "list.csv", GOOD.format(tag="K-1"), GOOD.format(tag="K-2"))
    terminal, end = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "manage.py", "propose", str(path)], cwd=ROOT, stdout=subprocess.PIPE, stderr=end
    )
    out = process.stdout.read()
    process.stdout.close()
    assert process.wait() == 0
    drawn = os.read(terminal, 100_000).decode()
    os.close(end)
    os.close(terminal)
    assert len(out.splitlines()) == 2
    assert "of 2" in drawn
    assert drawn.endswith("\r\x1b[K")
