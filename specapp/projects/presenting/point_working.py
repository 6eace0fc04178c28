"""What stands behind a point on its sheet: the worked calculation, chain, sketch, history, one sentence."""

from collections.abc import Sequence
from dataclasses import dataclass

from specapp.core.models import AuditEntry
from specapp.documents.wording import plain, words
from specapp.domain.display import with_unit
from specapp.domain.proposal import AppliedOverride, Point, Proposal, Setpoint
from specapp.drawings.chain_column import chain_scene
from specapp.drawings.chains import chains_of, relay_words
from specapp.drawings.probe_sketch import probe_sketch_scene
from specapp.projects.kept import kept_beside
from specapp.projects.presenting.drawings import Picture, links_of
from specapp.rulebook.check_names import candidate_words
from specapp.rulebook.worked_calculation import WorkedCalculation, worked_calculations


@dataclass(frozen=True, slots=True)
class Working:
    """One setpoint: its calculation, and the sentence that says it all."""

    calculation: WorkedCalculation
    sentence: str


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that was done to the point or its machine."""

    at: object
    who: str
    what: str


@dataclass(frozen=True, slots=True)
class PointWorking:
    """Everything about a point that the proposal does not say in one place."""

    workings: Sequence[Working]
    chain: Sequence[str]
    pictures: Sequence[Picture]
    reasoning: str


@kept_beside(256)
def point_working(
    proposal: Proposal, key: str, points_url: str, page_url: str, revision: str
) -> PointWorking:
    """Return what stands behind a point; `revision` names the state of the machine it was read in."""
    point = next(each for each in proposal.points if each.key == key)
    links = links_of(proposal, points_url, page_url)
    workings = [
        Working(calculation, _sentence(proposal, point, calculation, revision))
        for calculation in worked_calculations(proposal, point)
    ]
    chain = next(item for item in chains_of(proposal) if point.key in {each.key for each in item.points})
    pictures = [Picture(chain_scene(proposal, chain.key), links)]
    sketch = probe_sketch_scene(proposal, point.key)
    if sketch is not None:
        pictures.insert(0, Picture(sketch, links))
    reasoning = "\n".join(item.sentence for item in workings) or _why_there(point, revision)
    held = {relay.key: relay_words(relay) for relay in proposal.architecture.relays}
    relays = "; ".join(held.get(key, key) for key in chain.relays)
    steps = [*(link for link in chain.links if link != "-"), *([f"relays: {relays}"] if relays else [])]
    return PointWorking(workings, steps, pictures, reasoning)


def _sentence(proposal: Proposal, point: Point, calculation: WorkedCalculation, revision: str) -> str:
    setpoint = calculation.setpoint
    detection = point.range.detection if point.range is not None else ""
    if detection == "mean" or ", " in calculation.title:
        detection = ""
    value = "no value"
    if setpoint.value is not None:
        value = with_unit(setpoint.value, setpoint.unit, detection=detection)
    if setpoint.low is not None and setpoint.value is not None:
        value = f"+{value} and {with_unit(setpoint.low, setpoint.unit)}"
    governs = f"governed by {candidate_words(setpoint.governed_by)} ({setpoint.governed_by})"
    own = _set_by_hand(proposal, point, calculation) if setpoint.governed_by == "override" else None
    if own is not None:
        rule = "no value of the rules"
        if isinstance(own.rule_value, int | float):
            rule = f"the rule's {with_unit(own.rule_value, setpoint.unit, detection=detection)}"
        by = f"set by {own.author} on {own.at[:10]} in place of {rule}: {own.reason.rstrip('.')}"
        again = "; to be confirmed again" if own.state == "confirm again" else ""
        return f"{point.tag}, {calculation.title.lower()} {value}: {by}{again}; {revision}."
    parts = [f"{point.tag}, {calculation.title.lower()} {value}: {governs}"]
    line = next((item for item in calculation.lines if item.governs and item.formula), None)
    if line is not None:
        parts.append(f", {line.formula} = {line.numbers} = {line.result}, rounded down")
    return f"{''.join(parts)}; {_source(proposal, setpoint)}; {words(setpoint.status)}; {revision}."


def _set_by_hand(proposal: Proposal, point: Point, calculation: WorkedCalculation) -> AppliedOverride | None:
    """Return the override that set this level of the point's group."""
    level = "trip" if calculation.setpoint == point.setpoints.trip else "alarm"
    return next(
        (each for each in proposal.overrides if each.item == point.voting_group and each.field == level),
        None,
    )


def _source(proposal: Proposal, setpoint: Setpoint) -> str:
    """Return where the governing criterion comes from and how it stands; else the rule's own standing."""
    if not setpoint.trace:
        return "no source"
    reason = proposal.trace[setpoint.trace[0]]
    read = next((item for item in proposal.criteria if item["key"] == setpoint.governed_by), None)
    told = read or {"status": reason.status, "source": reason.source, "edition": reason.edition}
    source = ", ".join(str(told[name]) for name in ("source", "edition") if told.get(name))
    status = str(told["status"])
    named = f"{status}, {source}" if source and source != status else status
    return f"{named}; rule {reason.rule}"


def _why_there(point: Point, revision: str) -> str:
    said = " ".join(dict.fromkeys(reason.text for reason in point.because))
    return f"{point.tag}, {point.title}: no alarm and no trip. {said} {revision}."


_ACTIONS = {
    "machine.create": "described the machine",
    "machine.update": "changed the description",
    "setpoint_values.write": "wrote down given values",
    "setpoint_values.withdraw": "withdrew a given value",
    "decisions.carry": "moved pinions; what was decided followed them",
    "override.set": "set the {field} to {is}, in place of {rule_value}: {reason}",
    "override.confirm": "confirmed the {field} {is} again: {reason}",
    "override.undo": "let the rule's {field} stand again",
    "override.inherit": "brought the {field} {is} from an earlier machine, to be confirmed again: {reason}",
}


def history(entries: Sequence[AuditEntry]) -> list[Event]:
    """Return entries of the record in words, the latest first."""
    return [Event(entry.at, entry.actor_name, _what(entry)) for entry in entries]


def _what(entry: AuditEntry) -> str:
    data = entry.data
    if entry.action.startswith("override."):
        told = {name: plain(data.get(name)) for name in ("field", "is", "rule_value")}
        told["reason"] = str(data.get("reason", ""))
        return _ACTIONS.get(entry.action, entry.action).format(**told)
    version = f", version {data['version']}" if "version" in data else ""
    again = len(data.get("confirm_again", ()))
    waiting = f"; {again} override{'' if again == 1 else 's'} to be confirmed again" if again else ""
    return f"{_ACTIONS.get(entry.action, entry.action.replace('.', ', '))}{version}{waiting}"
