"""Proposals kept in memory: who asks for what another is working out waits for it."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from specapp.projects import worked
from tests.factories import sample_description


def test_several_who_ask_at_once_have_it_worked_out_once(monkeypatch):
    made, gate = [], Barrier(4)
    propose = worked.propose_description

    def counted(*given):
        made.append(given)
        return propose(*given)

    monkeypatch.setattr(worked, "propose_description", counted)
    description = sample_description("minimal_process") | {"title": "asked for by four at once"}

    def ask(_):
        gate.wait()
        return worked.proposal_for(description)

    with ThreadPoolExecutor(4) as people:
        answers = list(people.map(ask, range(4)))
    assert len(made) == 1
    assert all(each is answers[0] for each in answers)
