"""Running a command in the test's own process, or as a process of its own, on the sample machines."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from io import BytesIO, TextIOWrapper
from pathlib import Path

import pytest

from specapp.cli import main

ROOT = Path(__file__).parents[2]
MACHINES = ROOT / "fixtures" / "machines"


@dataclass(frozen=True)
class Ended:
    status: int
    out: bytes
    lines: list[str]


@pytest.fixture
def run(capfdbinary, monkeypatch):
    def _run(*arguments, stdin=b""):
        monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO(stdin)))
        capfdbinary.readouterr()
        status = main([str(argument) for argument in arguments])
        out, err = capfdbinary.readouterr()
        return Ended(status, out, err.decode().splitlines())

    return _run


@pytest.fixture
def run_process():
    """Run manage.py with nothing in its environment that could help it."""

    def _run(*arguments, stdin=b"", cwd=ROOT):
        command = [sys.executable, str(ROOT / "manage.py"), *map(str, arguments)]
        environment = {"PATH": os.environ.get("PATH", "")}
        ended = subprocess.run(
            command, input=stdin, capture_output=True, env=environment, cwd=cwd, check=False
        )
        return Ended(ended.returncode, ended.stdout, ended.stderr.decode().splitlines())

    return _run


@pytest.fixture
def machine_file(tmp_path):
    """Write a sample machine with changes, and return its path; None takes a field out."""

    def _write(name="machine.json", sample="minimal_process", **changes):
        document = {**json.loads((MACHINES / f"{sample}.json").read_text()), **changes}
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps({key: value for key, value in document.items() if value is not None}))
        return path

    return _write
