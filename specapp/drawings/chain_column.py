"""One measuring chain read from top to bottom, for a sheet as narrow as a phone."""

from __future__ import annotations

from specapp.domain.proposal import Proposal
from specapp.drawings.boxes import TEXT_SIZE, Caption, box
from specapp.drawings.chains import Chain, chains_of, relay_words
from specapp.drawings.scene import Group, Scene, SceneTable, Shape, Text
from specapp.drawings.symbols import arrow
from specapp.drawings.text_extent import wrapped

WIDTH = 100.0
_MARGIN = 5.0
_ARROW = 9.0


def chain_keys(proposal: Proposal) -> tuple[str, ...]:
    """Return the chains that have a drawing of their own, in the order of the single line."""
    return tuple(chain.key for chain in chains_of(proposal))


def chain_scene(proposal: Proposal, key: str) -> Scene:
    """Return one chain from its transducer down to the effects of its relays.

    Raises
    ------
    KeyError
        If the proposal has no such chain.
    """
    chain = next((found for found in chains_of(proposal) if found.key == key), None)
    if chain is None:
        raise KeyError(key)
    steps = _steps(proposal, chain)
    shapes: list[Shape] = []
    y = _MARGIN
    for number, (item, caption, link) in enumerate(steps):
        height = caption.height(WIDTH - 2 * _MARGIN)
        drawn = box(caption, _MARGIN, y + height / 2, WIDTH - 2 * _MARGIN)
        shapes.append(Group(item, caption.spoken, drawn))
        y += height
        if number == len(steps) - 1:
            break
        lines = wrapped(link, TEXT_SIZE, WIDTH / 2 - _MARGIN - 4)
        length = max(_ARROW, len(lines) * 3.7 + 3)
        shapes += arrow(WIDTH / 2, y, WIDTH / 2, y + length)
        shapes += [Text(WIDTH / 2 + 3, y + 4.2 + n * 3.7, line, TEXT_SIZE) for n, line in enumerate(lines)]
        y += length
    return Scene(
        name=key.replace("/", "-"),
        width=WIDTH,
        height=y + _MARGIN,
        title=f"{chain.transducer.spoken}, {proposal.machine.get('tag') or 'the machine'}",
        description="The chain from the transducer down to the effects.",
        shapes=tuple(shapes),
        table=SceneTable(("Link",), tuple((item, (caption.spoken,)) for item, caption, _ in steps)),
    )


def _steps(proposal: Proposal, chain: Chain) -> list[tuple[str, Caption, str]]:
    """Return (item key, box, words on the line that leaves it) from tip to effects."""
    steps = [
        (chain.key, chain.transducer, chain.extension or "own cable"),
        (chain.key, chain.electronics, chain.field_cable),
    ]
    if chain.isolator:
        steps.append((chain.key, chain.isolator, ""))
    steps.append((chain.receiver_key, chain.receiver, ""))
    relays = [relay for relay in proposal.architecture.relays if relay.key in chain.relays]
    if relays:
        steps.append((relays[0].key, Caption("Relays", tuple(map(relay_words, relays))), ""))
    keys = {point.key for point in chain.points}
    effects: dict[str, None] = {}
    for row in proposal.cause_and_effect:
        if keys.intersection(row.points):
            effects.update(dict.fromkeys(effect.replace("_", " ") for effect in row.effects))
    if effects:
        steps.append((f"{chain.key}/effects", Caption("Effects", tuple(effects)), ""))
    return steps
