"""The next most useful facts of a machine of which little is told."""

from __future__ import annotations

from specapp.rulebook.proposing import propose_document
from specapp.rulebook.useful_facts import useful_facts
from tests.rulebook.moved import sample


def test_the_journal_of_a_pinion_comes_before_what_settles_less() -> None:
    facts = useful_facts(propose_document(sample("minimal_process")))
    by_path = {fact.path: fact for fact in facts}
    journal = by_path["pinions[0].journal_diameter"]
    assert [fact.settles for fact in facts] == sorted((fact.settles for fact in facts), reverse=True)
    assert journal.settles > by_path["pinions[0].babbitt"].settles
    assert journal.open_points == ("journal/P1",)
    assert "the trip of P1 radial may be lower" in journal.may_change
    assert journal.text.startswith("The journal diameter of P1 would settle")


def test_a_fact_once_told_is_no_longer_asked_for() -> None:
    document = sample("minimal_process")
    document["pinions"][0]["journal_diameter"] = "60 mm"
    paths = {fact.path for fact in useful_facts(propose_document(document))}
    assert "pinions[0].journal_diameter" not in paths
    assert "pinions[1].journal_diameter" in paths
