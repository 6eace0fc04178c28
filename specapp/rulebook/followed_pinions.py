"""A proposal as it reads once its pinions stand in another order or go by other names.

Whoever moves or renames a pinion means the pinion, not its number. Where it is known which pinion each one
was, the earlier proposal is written with the names and places of the later description before the two are
compared: what then differs differs about the same pinion. Tags stay as they were, since they do change.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

import msgspec
from msgspec.structs import replace

from specapp.domain.override_carrying import carry_overrides
from specapp.domain.overrides import Override
from specapp.domain.proposal import AppliedOverride, Proposal, Record, proposal_bytes
from specapp.rulebook.causes import Cause
from specapp.rulebook.fact_names import pinion_names

_PLACE = re.compile(r"pinions\[(\d+)\]")
# Parts that name no pinion, or hold what people wrote, which is nobody's to rewrite.
_KEPT = (
    *("format", "rulebook_version", "criteria_digest", "verdict", "governing", "architecture"),
    *("responsibility", "reconciliation", "criteria", "rules", "cautions"),
)
# What proposals say besides names that has the form of one: entity figures and resistance elements.
_TERMS = frozenset({"Pi", "Po", "Pt100", "Pt1000"})
# What follows a name at the start of a sentence, and what follows the first letters of a rule's id.
_DOES = "| passes | carries "
_RULE_ID = r"-[A-Z]{3}-\d"
_DECODER = msgspec.json.Decoder(Proposal)


class PinionsWere(Record, frozen=True):
    """Which pinion each one was.

    ``was`` and ``now`` are names in the order of the descriptions; ``were`` holds, for each of ``now``, its
    place in ``was``, None for a new one. No place stands twice.
    """

    was: tuple[str, ...]
    now: tuple[str, ...]
    were: tuple[int | None, ...]

    @property
    def is_unmoved(self) -> bool:
        """Tell whether every pinion stands where it stood, under its name."""
        return self.was == self.now and self.were == tuple(range(len(self.was)))

    @property
    def keeps_keys(self) -> bool:
        """Tell whether every earlier pinion keeps its name and its place in the paths."""
        pairs = (*self.names().items(), *self.places().items())
        return all(old == new for old, new in pairs)

    @property
    def gone(self) -> tuple[int, ...]:
        """Return the earlier places of the pinions taken out."""
        return tuple(place for place in range(len(self.was)) if place not in self.were)

    def names(self) -> dict[str, str]:
        """Return the name of each earlier pinion now; one taken out keeps its own unless that is taken."""
        names = {
            self.was[place]: self.now[number] for number, place in enumerate(self.were) if place is not None
        }
        for place in self.gone:
            name = self.was[place]
            names[name] = f"{name} (taken out)" if name in self.now else name
        return names

    def places(self) -> dict[int, int]:
        """Return the place of each earlier pinion now; those taken out follow after the others."""
        places = {place: number for number, place in enumerate(self.were) if place is not None}
        return places | {place: len(self.now) + number for number, place in enumerate(self.gone)}

    def causes(self) -> tuple[Cause, ...]:
        """Return what was done to the pinions, in words."""
        return (*self._renamed(), *self._gone(), *self._order())

    def _renamed(self) -> Iterator[Cause]:
        for number, place in enumerate(self.were):
            now = self.now[number]
            if place is None:
                yield _cause(number, None, now, f"{now} is new")
            elif (was := self.was[place]) != now:
                text = f"{was} is called {now} now" if place == number else f"{was} is now {now}"
                yield _cause(number, was, now, text)

    def _gone(self) -> Iterator[Cause]:
        for number, place in enumerate(self.gone, start=len(self.now)):
            yield _cause(number, self.was[place], None, f"{self.was[place]} is taken out")

    def _order(self) -> Iterator[Cause]:
        """Yield the order, in the names of now, where one moved under its name, so that no name tells it."""
        now = {place: self.now[number] for number, place in enumerate(self.were) if place is not None}
        stayed = list(now)
        told = {place for place, name in now.items() if self.was[place] != name}
        alone = any(place != number for number, place in enumerate(self.were) if place in now.keys() - told)
        if alone and stayed != sorted(stayed):
            were, names = [now[place] for place in sorted(stayed)], list(now.values())
            text = f"the order of the pinions was {', '.join(were)}, is {', '.join(names)}"
            yield Cause("input", "pinions", were, names, text)


def _cause(number: int, was: str | None, now: str | None, text: str) -> Cause:
    return Cause("input", f"pinions[{number}].name", was, now, text)


def followed(before: Proposal, pinions: PinionsWere) -> Proposal:
    """Return a proposal with the names and places that its pinions have now; its tags are its own."""
    if pinions.is_unmoved:
        return before
    machine = _machine(before.machine, pinions)
    if pinions.keeps_keys:
        return replace(before, machine=machine)
    written = _DECODER.decode(_renamed_text(proposal_bytes(before).decode(), pinions))
    points = (
        replace(point, tag=was.tag, tags=was.tags)
        for point, was in zip(written.points, before.points, strict=True)
    )
    shafts = (
        replace(shaft, maker_name=was.maker_name)
        for shaft, was in zip(written.shafts, before.shafts, strict=True)
    )
    return replace(
        written,
        machine=machine,
        points=tuple(points),
        shafts=tuple(shafts),
        overrides=_overrides(before.overrides, pinions),
        **{name: getattr(before, name) for name in _KEPT},
    )


def _overrides(overrides: tuple[AppliedOverride, ...], pinions: PinionsWere) -> tuple[AppliedOverride, ...]:
    """Return overrides on the items that carried ones are on; what people wrote in them stays."""
    old = [None if place is None else pinions.was[place] for place in pinions.were]
    gone = [pinions.was[place] for place in pinions.gone]
    keys = [Override(was.item, "tag", "", "", "", "") for was in overrides]
    carried = carry_overrides(keys, [*old, *gone], [*pinions.now, *(None for _ in gone)])
    return tuple(replace(was, item=key.item) for was, key in zip(overrides, carried, strict=True))


def _renamed_text(text: str, pinions: PinionsWere) -> str:
    """Return a text with all names and places exchanged at once, so that two changing places do not meet."""
    names = {old: new for old, new in pinions.names().items() if old != new}
    if names:
        pattern = re.compile("|".join(map(_name_pattern, names)))
        text = pattern.sub(lambda found: names[found[0]], text)
    return _moved_path(text, pinions.places())


def _name_pattern(name: str) -> str:
    """Return how a name is found; one like a word (Pump) only where the word cannot stand.

    A word begins a sentence, where a name stands before a colon or says what it does; a term of the
    proposal's own (Pt100) stands in lists, too. The look behind the first letter stands after it, so that
    the search goes from letter to letter: that is several times as fast.
    """
    first, rest = name[0], re.escape(name[1:])
    is_term, is_word = name in _TERMS, name[1:].islower() and name.isalpha()
    if not is_term and not is_word:
        return rf"{first}(?<!\w{first}){rest}(?!\w|{_RULE_ID})"
    at_start = rf'(?<=["/]{first}){rest}(?=["/.]|: {_DOES})'
    in_sentence = rf"(?<={'[a-z]' if is_term else '[a-z,]'} {first}){rest}(?!\w)"
    bearing = rf"(?<!\w{first}){rest}(?=-[12]\b)"
    return rf"{first}(?:{at_start}|{in_sentence}|{bearing})"


def _machine(machine: Mapping[str, Any], pinions: PinionsWere) -> dict[str, Any]:
    """Return a description with its pinions where they stand now; a new one stands there bare."""
    told, names, places = machine.get("pinions", ()), pinions.names(), pinions.places()
    moved: list[dict[str, Any]] = [{"name": name} for name in pinions.now]
    moved += [{} for _ in pinions.gone]
    for place, (pinion, name) in enumerate(zip(told, pinion_names(machine), strict=True)):
        moved[places[place]] = {**pinion, "name": names[name]}
    document = {**machine, "pinions": moved}
    if machine.get("sources"):
        document["sources"] = {_moved_path(path, places): said for path, said in machine["sources"].items()}
    return document


def _moved_path(path: str, places: Mapping[int, int]) -> str:
    return _PLACE.sub(lambda found: f"pinions[{places.get(int(found[1]), int(found[1]))}]", path)
