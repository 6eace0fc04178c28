"""Time of proposals: one machine, a thousand of them, and the command from its start to its answer.

Beside the proposal of eight stages, in the same run, stand 30 plain functions of five conditions that note
every condition: about 40 us. What this computer and its Python make of those tells what a time is worth.

The goals are 5 ms for the proposal (10 ms accepted) where the plain functions take 43 us, 15 s and 300 MB for
a thousand machines, 0.5 s for the command (1.0 s accepted), all on a computer with nothing else to do. They
are printed beside what was measured; only growth beyond `MOST_TIMES_PLAIN` and the memory fail the test.
"""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from threading import Event, Thread
from time import perf_counter, process_time

import pytest

from specapp.domain.reading import read_machine
from specapp.rulebook.proposing import criteria_in_force, propose_description, reading_context
from tests.rulebook.moved import sample

ROOT = Path(__file__).parents[2]
COMMAND = (sys.executable, str(ROOT / "manage.py"), "propose")
MACHINES = 1000
MOST_TIMES_PLAIN = 600
MOST_MB = 300
PLAIN_FUNCTIONS, CONDITIONS = 30, 5
_KB_PER_MB = 1024

Hits = list[tuple[int, int, float, bool]]


def _plain_function(number: int) -> Callable[[tuple[float, ...], Hits], None]:
    def function(values: tuple[float, ...], hits: Hits) -> None:
        for condition in range(CONDITIONS):
            value = values[condition]
            hits.append((number, condition, value, value > condition / 2))

    return function


FUNCTIONS = [_plain_function(number) for number in range(PLAIN_FUNCTIONS)]


def plain_functions() -> Hits:
    """Run the plain functions once, with a note of every condition."""
    hits: Hits = []
    for function in FUNCTIONS:
        function((1.0, 2.0, 3.0, 4.0, 5.0), hits)
    return hits


def _seconds(run: Callable[[], object], rounds: int) -> float:
    times = []
    for _ in range(rounds):
        start = process_time()
        run()
        times.append(process_time() - start)
    return median(times)


def test_plain_functions_with_full_trace(benchmark):
    assert len(benchmark(plain_functions)) == PLAIN_FUNCTIONS * CONDITIONS


def test_proposal_of_eight_stages_from_its_description(benchmark):
    document = json.dumps(sample("eight_stage")).encode()
    criteria = criteria_in_force()
    context = reading_context(criteria)

    def propose() -> object:
        return propose_description(read_machine(document, context), criteria)

    description = read_machine(document, context)
    proposal = benchmark.pedantic(propose, rounds=40, warmup_rounds=3)
    assert len(proposal.points) > 60
    assert proposal.trace
    if benchmark.enabled:
        plain, ours = _seconds(plain_functions, 400), _seconds(propose, 40)
        read = _seconds(lambda: propose_description(description, criteria), 40)
        benchmark.extra_info |= {
            "ms": round(ours * 1e3, 2),
            "ms_of_a_description_read": round(read * 1e3, 2),
            "plain_us": round(plain * 1e6, 1),
        }
        print(
            f"{ours * 1e3:.1f} ms with the reading of the document, {read * 1e3:.1f} ms from its description "
            f"(goal 5, accepted 10), plain functions {plain * 1e6:.0f} us"
        )
        assert ours <= MOST_TIMES_PLAIN * plain


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("machines")
    machine = sample("eight_stage")
    for number in range(MACHINES):
        document = machine | {"tag": f"K-{1000 + number}"}
        (made / f"{number:04}.json").write_text(json.dumps(document), "utf-8")
    return made


def test_a_thousand_machines_to_lines_of_json(benchmark, folder, tmp_path):
    if not benchmark.enabled:
        pytest.skip("a thousand machines take long and are only timed")
    start = perf_counter()
    with (tmp_path / "proposals.jsonl").open("wb") as lines:
        process = subprocess.Popen([*COMMAND, str(folder)], stdout=lines)
        with _Memory(process.pid) as memory:
            benchmark.pedantic(process.wait, rounds=1)
    seconds = perf_counter() - start
    assert process.returncode == 0
    with (tmp_path / "proposals.jsonl").open("rb") as lines:
        assert sum(1 for _ in lines) == MACHINES
    benchmark.extra_info |= {"seconds": round(seconds, 1), "peak_mb": round(memory.peak_mb)}
    print(f"{MACHINES} machines in {seconds:.1f} s (goal 15), {memory.peak_mb:.0f} MB (at most {MOST_MB})")
    assert 0 < memory.peak_mb <= MOST_MB


def test_command_from_start_to_answer(benchmark, tmp_path):
    path = tmp_path / "machine.json"
    path.write_text(json.dumps(sample("eight_stage")), "utf-8")

    def command() -> subprocess.CompletedProcess[bytes]:
        return subprocess.run([*COMMAND, str(path)], capture_output=True, check=True)

    answered = benchmark.pedantic(command, rounds=5 if benchmark.enabled else 1)
    assert json.loads(answered.stdout)["format"] == "proposal/1"


class _Memory:
    """Watches the memory of a process and its children: the most it was, in MB."""

    def __init__(self, process: int) -> None:
        self._process, self.peak_mb = process, 0.0
        self._done = Event()
        self._thread = Thread(target=self._watch)

    def __enter__(self) -> "_Memory":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._done.set()
        self._thread.join()

    def _watch(self) -> None:
        while not self._done.wait(0.2):
            kilobytes = sum(_resident_kb(each) for each in (self._process, *_children(self._process)))
            self.peak_mb = max(self.peak_mb, kilobytes / _KB_PER_MB)


def _resident_kb(process: int) -> int:
    """Return the memory of a process, that shared with others by its share; 0 where it has ended."""
    try:
        text = Path(f"/proc/{process}/smaps_rollup").read_text("ascii")
    except OSError:
        return 0
    return next((int(line.split()[1]) for line in text.splitlines() if line.startswith("Pss:")), 0)


def _children(process: int) -> list[int]:
    try:
        return [int(child) for child in Path(f"/proc/{process}/task/{process}/children").read_text().split()]
    except OSError:
        return []
