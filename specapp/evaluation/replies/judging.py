"""One reply held against its criterion: what it comes to, by what was read in it.

A check of a kind answers with a `Found`; what the bidder claims beside it, vague and narrowing words and
missing evidence are weighed alike for every kind. A person decides; this proposes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from specapp.evaluation.replies.clarifying import question
from specapp.evaluation.replies.matching import judge_choices, judge_marking
from specapp.evaluation.replies.numbers import judge_number
from specapp.evaluation.replies.offer import Judgement, Reply, Standing
from specapp.evaluation.replies.vague import narrowing_words, vague_words
from specapp.evaluation.replies.verdicts import UNCLEAR, Found
from specapp.evaluation.requirements.criterion import NUMERIC
from specapp.evaluation.requirements.requirement import Requirement

_ORDER: Final[tuple[Standing, ...]] = ("comply", "with comment", "partial", "deviate", "no reply")
_YES: Final = (
    "yes",
    "y",
    "included",
    "provided",
    "offered",
    "available",
    "comply",
    "complies",
    "compliant",
    "true",
)
_NO: Final = ("no", "not", "n", "none", "excluded", "by others", "false", "unavailable")


def judge(requirement: Requirement, reply: Reply | None) -> Judgement:
    """Return what a reply comes to; trip reliability is judged apart, by the offered failure data."""
    if reply is None or not any((reply.claim, reply.offered, reply.evidence, reply.remark)):
        return Judgement(
            requirement.id,
            "no reply",
            ("The bidder left this blank.",),
            question(requirement, reply, "there is no reply"),
            until_clarified=True,
        )
    if reply.claim == "not applicable":
        return _unclear(requirement, reply, "it is called not applicable, and the reason is needed")
    if reply.claim == "deviates" and not reply.offered:
        return Judgement(requirement.id, "deviate", (_said(reply, "The bidder deviates."),))
    words = vague_words(reply.offered)
    if words is not None:
        return _unclear(
            requirement, reply, f"“{words}” says nothing that can be held against the requirement"
        )
    found = _CHECKS.get(requirement.criterion.kind, _number)(requirement, reply)
    if found.standing == UNCLEAR:
        return _unclear(requirement, reply, found.reason)
    return _weighed(requirement, reply, found)


def _weighed(requirement: Requirement, reply: Reply, found: Found) -> Judgement:
    """Return a judgement of a readable reply with its claim, its remark and its evidence."""
    assert found.standing != UNCLEAR
    standing: Standing = found.standing
    evidence = [found.reason]
    contradictions = []
    ask = ""
    if reply.claim == "complies" and standing in ("partial", "deviate"):
        contradictions.append("Says it complies, but what it offers does not meet what is asked.")
        ask = "the claim and the value do not go together"
    if reply.claim in ("deviates", "partial"):
        if standing in ("comply", "with comment"):
            contradictions.append(f"Says it {_claimed(reply)}, but what it offers meets what is asked.")
            ask = "the claim and the value do not go together"
        standing = _worse(standing, "deviate" if reply.claim == "deviates" else "partial")
        evidence.append(f"The bidder says it {_claimed(reply)}.")
    if reply.claim == "alternative":
        standing = _worse(standing, "partial")
        evidence.append("The bidder offers an alternative: a person judges whether it serves.")
    for text, name in ((reply.remark, "remark"), (reply.offered, "reply")):
        unclear = vague_words(text) if name == "remark" and text else None
        narrowed = narrowing_words(text)
        if unclear is not None or narrowed is not None:
            standing = _worse(standing, "with comment")
            evidence.append(f"The {name} takes something back: “{unclear or narrowed}”.")
            ask = ask or f"the {name} says “{unclear or narrowed}”, and what that leaves out is not clear"
    if requirement.knock_out and not reply.evidence and standing in ("comply", "with comment"):
        standing = _worse(standing, "with comment")
        evidence.append("No file and page shows it.")
        ask = ask or "no file and page shows it"
    evidence += found.notes
    return Judgement(
        requirement.id,
        standing,
        tuple(evidence),
        question(requirement, reply, ask) if ask else "",
        until_clarified=bool(contradictions),
        contradictions=tuple(contradictions),
    )


def _unclear(requirement: Requirement, reply: Reply, reason: str) -> Judgement:
    evidence = f"Not compliant until clarified: {reason}."
    return Judgement(
        requirement.id, "no reply", (evidence,), question(requirement, reply, reason), until_clarified=True
    )


def _worse(one: Standing, other: Standing) -> Standing:
    return max(one, other, key=_ORDER.index)


def _claimed(reply: Reply) -> str:
    return {"deviates": "deviates", "partial": "complies in part"}.get(reply.claim, reply.claim)


def _said(reply: Reply, otherwise: str) -> str:
    return f"{otherwise} It says: “{reply.remark}”." if reply.remark else otherwise


# Kinds without a number


def _yes(requirement: Requirement, reply: Reply) -> Found:
    first = reply.offered.casefold().replace(",", " ").replace(".", " ").split()
    said = " ".join(first)
    if any(said == word or said.startswith(f"{word} ") for word in _NO):
        return Found("deviate", f"The bidder says “{reply.offered}”.")
    if first and any(said == word or said.startswith(f"{word} ") for word in _YES):
        return Found("comply", f"The bidder says “{reply.offered}”.")
    if reply.claim == "complies":
        reason = (
            f"The bidder says it complies: “{reply.offered}”." if first else "The bidder says it complies."
        )
        return Found("comply", reason)
    if reply.claim in ("partial", "deviates", "alternative"):
        return Found("partial", f"The bidder says it {_claimed(reply)}.")
    return Found(UNCLEAR, f"“{reply.offered or reply.remark}” is neither yes nor no")


def _document(requirement: Requirement, reply: Reply) -> Found:
    named = reply.evidence or reply.offered
    if reply.claim == "deviates":
        return Found("deviate", "The bidder says it is not supplied.")
    if not named or named.casefold() in _YES:
        return Found(UNCLEAR, "no document is named")
    if vague_words(named) is not None:
        return Found(UNCLEAR, f"“{named}” names no document")
    if not any(character.isdigit() for character in named):
        return Found("with comment", f"Document “{named}” is named without number or page.")
    return Found("comply", f"Document named: “{named}”.", ("A person reads whether it says what is asked.",))


def _stated(requirement: Requirement, reply: Reply) -> Found:
    said = reply.offered or reply.remark
    if not said or said.casefold() in _YES:
        return Found(UNCLEAR, "nothing is stated")
    return Found("comply", f"Stated: “{said}”.", ("A person reads whether it says what is asked.",))


def _number(requirement: Requirement, reply: Reply) -> Found:
    return judge_number(requirement.criterion, reply.offered)


def _choices(requirement: Requirement, reply: Reply) -> Found:
    return judge_choices(requirement.criterion, reply.offered)


def _marking(requirement: Requirement, reply: Reply) -> Found:
    return judge_marking(requirement.criterion, reply.offered)


_CHECKS: Mapping[str, Callable[[Requirement, Reply], Found]] = {
    "yes": _yes,
    "document": _document,
    "stated": _stated,
    "one_of": _choices,
    "marking": _marking,
    **dict.fromkeys(NUMERIC, _number),
}
