"""Runs of the signal bench: tried, kept, shown, never changed."""

import hashlib
import json
import re
from html import unescape
from io import BytesIO

import pytest
from django.db import DatabaseError, connection, connections, transaction
from django.urls import reverse
from pypdf import PdfReader

from specapp.bench.result import read_bench
from specapp.bench.running import run_bench
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set
from specapp.revisions.content import bytes_of
from specapp.verification.models import BenchRun
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.verification.making import SCENARIOS, kept

pytestmark = pytest.mark.django_db
GROUP = "BG/B1/radial"
LINES = {"Accept": "application/x-ndjson"}


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


@pytest.fixture
def machine(project, engineer):
    return machine_of(project, author=engineer)


def at(name, machine, *more, **query):
    return reverse(f"verification:{name}", args=[machine.project_id, machine.pk, *more], query=query or None)


def asked(**changed):
    return {"of": "working", "seed": "3", "functions": [GROUP], "scenarios": list(SCENARIOS), **changed}


def test_a_run_is_what_the_bench_says_kept_with_its_report(client, machine):
    answer = client.post(at("run-new", machine), asked())
    run = BenchRun.objects.get()
    assert answer.url == at("run-show", machine, 1)
    result = read_bench(bytes_of(run.result_id))
    proposal = machine_proposal(machine)
    assert result == run_bench(proposal, seed=3, functions=[GROUP], scenarios=SCENARIOS)
    assert (run.counts, run.functions, run.scenarios) == (result.counts, 1, 2)
    entry = AuditEntry.objects.get(action="bench.run")
    assert entry.data["result"] == run.result_id
    report = client.get(at("run-report", machine, 1))
    assert hashlib.sha256(report.content).hexdigest() == run.report_id
    assert "Functions by scenarios" in "".join(page.extract_text() for page in _pages(report.content))


def _pages(content):
    return PdfReader(BytesIO(content)).pages


def test_progress_is_told_and_the_run_is_kept_at_the_end(client, machine):
    answer = client.post(at("run-new", machine), asked(), headers=LINES)
    lines = [json.loads(line) for line in b"".join(answer.streaming_content).splitlines()]
    assert lines[:-1] == [{"done": 1, "total": 2}, {"done": 2, "total": 2}]
    assert lines[-1] == {"address": at("run-show", machine, 1)}


def test_a_run_given_up_leaves_nothing(client, machine, monkeypatch):
    # The end of a request would close the connection in whose transaction the test runs.
    monkeypatch.setattr(connections["default"], "close", lambda: None)
    answer = client.post(at("run-new", machine), asked(), headers=LINES)
    lines = iter(answer.streaming_content)
    next(lines)
    answer.close()
    assert not BenchRun.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"seed": "none"},
        {"seed": "0"},
        {"functions": ["P9/radial"]},
        {"scenarios": ["earthquake"]},
        {"property_sample_rate_hz": "-1"},
        {"property_spike_ratio": "nan"},
        {"of": "revision"},
    ],
)
def test_what_cannot_be_tried_is_refused_by_its_field(client, machine, wrong):
    for headers in ({}, LINES):
        answer = client.post(at("run-new", machine), asked(**wrong), headers=headers)
        assert answer.status_code == 422
    assert not BenchRun.objects.exists()


def test_a_pair_shows_its_picture_cases_and_what_the_model_took(client, machine):
    kept(machine)
    for scenario in SCENARIOS:
        page = client.get(at("cell-show", machine, 1, function=GROUP, scenario=scenario)).content.decode()
        assert page.count("<svg") == 2
        assert "should trip" in page or "should alarm" in page
        assert "Scale factor" in page
    assert client.get(at("cell-show", machine, 1, function="P9", scenario=scenario)).status_code == 404
    wrong = at("cell-show", machine, 1, function=GROUP, scenario=scenario, case="no such")
    assert client.get(wrong).status_code == 404


def test_a_changed_machine_leaves_the_run_and_says_so(client, machine, engineer):
    kept(machine)
    assert "has changed since" not in client.get(at("run-show", machine, 1)).content.decode()
    override_set(
        machine=machine,
        expected_version=machine.version,
        item=GROUP,
        field="trip",
        value=40.0,
        reason="a test",
        author=engineer,
        now=NOW,
    )
    assert "has changed since" in client.get(at("run-show", machine, 1)).content.decode()
    assert "changed since" in client.get(at("run-list", machine)).content.decode()


def test_what_fails_leads_to_where_it_can_be_set(client, machine):
    kept(machine, scenarios=("one_sided_spikes", "start_through_critical", "cross_talk", "slow_sampling"))
    run = BenchRun.objects.get()
    page = client.get(at("run-show", machine, 1)).content.decode()
    failed = sum(run.counts.get(name, 0) for name in ("missed", "needless", "late"))
    assert page.count('<li><a href="/projects/') == failed
    for link in re.findall(r'href="([^"]*/overrides/set/[^"]*)"', page):
        form = client.get(unescape(link))
        assert f"Bench run {run.number}:" in form.content.decode()
    assert ("Every pair that was tried does as it should" in page) == (failed == 0)


@pytest.mark.parametrize("change", ["update", "delete"])
def test_the_database_refuses_to_change_a_run(machine, change):
    run = kept(machine, scenarios=("step_above_trip",))
    rows = BenchRun.objects.filter(pk=run.pk)
    sql = {
        "update": "UPDATE verification_benchrun SET seed = 9",
        "delete": "DELETE FROM verification_benchrun",
    }
    with (
        connection.cursor() as cursor,
        pytest.raises(DatabaseError, match="never changes"),
        transaction.atomic(),
    ):
        cursor.execute(sql[change])
    assert rows.exists()


def test_runs_are_numbered_by_machine(project, machine, engineer):
    other = machine_of(project, author=engineer, tag="K-2")
    numbers = [kept(each, scenarios=("step_above_trip",)).number for each in (machine, machine, other)]
    assert numbers == [1, 2, 1]
