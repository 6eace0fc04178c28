"""The front of a document: title block, notes of every sheet, and the datasheet's cover."""

from __future__ import annotations

from specapp.documents.book import Cover, Link
from specapp.documents.fonts import BOLD, MARKER, TEXT, glyph_name
from specapp.documents.ink import HAIRLINE
from specapp.documents.marks import SHAPE_LEGEND, STATUS_LEGEND
from specapp.documents.options import NOT_ISSUED, Options
from specapp.documents.sheet import Frame, TitleBlock
from specapp.documents.wording import machine_tag, setting_units, words
from specapp.documents.wrapping import fitted, wrapped
from specapp.domain.proposal import Proposal

CAUTION_LINE = (
    "Setpoints are proposals for the machine maker and the owner to confirm. "
    "The cautions stand in full where the setpoints begin."
)
_MOST_GLYPHS_NAMED = 12
_WORKING = "Working, not issued."


def title_block(proposal: Proposal, options: Options, title: str) -> TitleBlock:
    count = proposal.verdict.values_to_confirm
    return TitleBlock(
        project=options.project or str(proposal.machine.get("site") or ""),
        machine=machine_tag(proposal),
        title=f"{options.number} {title}" if options.number else title,
        revision=options.revision,
        date=options.issued_on,
        standing=options.standing,
        setting_units=setting_units(proposal),
        to_confirm=f"{count} value{'' if count == 1 else 's'} to be confirmed",
        prepared=options.prepared,
        checked=options.checked,
        approved=options.approved,
    )


def standing_line(proposal: Proposal, standing: str) -> str:
    """Return the verdict's last line; the proposal was working when it was made, its sheets may be issued."""
    rest = proposal.verdict.standing.removeprefix(_WORKING)
    stands = standing or NOT_ISSUED
    return f"{stands[:1].upper()}{stands[1:]}.{rest}"


def sheet_notes(proposal: Proposal) -> tuple[str, ...]:
    """Return the notes beside the title block: the caution, then the legends."""
    notes = [CAUTION_LINE, STATUS_LEGEND, SHAPE_LEGEND]
    if any(criterion.get("override") for criterion in proposal.criteria):
        notes.append("† value set by the engineer in place of the criterion's, with a reason")
    return tuple(notes)


def draw_cover(cover: Cover, proposal: Proposal, block: TitleBlock) -> None:
    """Set the cover: what machine, the verdict, missing characters if any, contents."""
    body = cover.sheet.body
    columns = cover.sheet.columns(running_text=True)
    y = _heading(cover, body, proposal, block)
    left = Frame(columns[0].left, body.bottom, columns[0].right, y)
    y = _verdict(cover, left, proposal)
    y = _glyphs(cover, Frame(left.left, left.bottom, left.right, y))
    if len(columns) > 1:
        _contents(cover, Frame(columns[1].left, body.bottom, columns[1].right, left.top))
    else:
        _contents(cover, Frame(left.left, left.bottom, left.right, y - 10))


def _heading(cover: Cover, body: Frame, proposal: Proposal, block: TitleBlock) -> float:
    ink, clean = cover.ink, cover.ink.lettering.clean
    machine = proposal.machine
    y = body.top - 34
    line, size = fitted(ink.lettering, clean(block.machine), body.width, BOLD, 28, 12)
    ink.text(body.left, y, line, BOLD, size)
    title = str(machine.get("title") or "Integrally geared centrifugal compressor")
    for text, wanted in (
        (title, 13.0),
        (block.title, 10.0),
        (_facts(proposal), 8.5),
        (" · ".join(str(machine[key]) for key in ("service", "site") if machine.get(key)), 8.5),
    ):
        if not text:
            continue
        y -= wanted * 1.7
        line, size = fitted(ink.lettering, clean(text), body.width, TEXT, wanted, 6)
        ink.text(body.left, y, line, TEXT, size)
    y -= 14
    ink.line(body.left, y, body.right, y, HAIRLINE)
    return y - 8


def _facts(proposal: Proposal) -> str:
    machine = proposal.machine
    pinions = sum(1 for shaft in proposal.shafts if shaft.kind == "pinion")
    facts = [
        f"{words(str(machine.get('service_class', '')))} service",
        f"{machine.get('stage_count', '?')} stages on {pinions} pinion{'' if pinions == 1 else 's'}",
        f"{len(proposal.points)} points" + (" a train" if machine.get("trains") else ""),
    ]
    return " · ".join(facts)


def _verdict(cover: Cover, frame: Frame, proposal: Proposal) -> float:
    ink, lettering = cover.ink, cover.ink.lettering
    verdict = proposal.verdict
    y = frame.top - 8
    ink.text(frame.left, y, "Verdict", BOLD, 10)
    y -= 16
    for label, text in (
        ("Proposed", verdict.proposed),
        ("Fails", verdict.fails),
        ("Needs you", verdict.needs_you),
        ("Next fact", verdict.next_fact),
        ("Standing", standing_line(proposal, cover.standing)),
    ):
        ink.text(frame.left, y, label, BOLD, 8)
        for line in wrapped(lettering, lettering.clean(text), frame.width - 66, TEXT, 8):
            ink.text(frame.left + 66, y, line, TEXT, 8)
            y -= 11
        y -= 4
    made = f"Rulebook {proposal.rulebook_version} · criteria {proposal.criteria_digest[:23]}"
    ink.text(frame.left, y - 2, lettering.clean(made), TEXT, 6)
    return y - 14


def _glyphs(cover: Cover, frame: Frame) -> float:
    """Set a note of the characters that print as the marker, in the heading and verdict above too."""
    missing = cover.ink.lettering.missing()
    if not missing:
        return frame.top
    ink, lettering = cover.ink, cover.ink.lettering
    named = ", ".join(glyph_name(character) for character in missing[:_MOST_GLYPHS_NAMED])
    more = len(missing) - _MOST_GLYPHS_NAMED
    text = (
        f"{len(missing)} character{'' if len(missing) == 1 else 's'} of this document cannot be set in its"
        f" text face and print{'s' if len(missing) == 1 else ''} as {MARKER}: {named}"
        + (f" and {more} more" if more > 0 else "")
        + ". Settle them before issue."
    )
    lines = wrapped(lettering, text, frame.width - 16, TEXT, 7.5)
    height = 10 * len(lines) + 20
    top = frame.top - 4
    ink.rectangle(frame.left, top - height, frame.width, height, 0.8)
    ink.text(frame.left + 8, top - 12, "Characters without a glyph", BOLD, 7.5)
    y = top - 23
    for line in lines:
        ink.text(frame.left + 8, y, line, TEXT, 7.5)
        y -= 10
    return top - height - 6


def _contents(cover: Cover, frame: Frame) -> None:
    ink, lettering = cover.ink, cover.ink.lettering
    y = frame.top - 8
    ink.text(frame.left, y, "Contents", BOLD, 10)
    y -= 6
    pitch = min(15.0, (y - frame.bottom) / (len(cover.sections) + 1))
    size = min(8.0, pitch * 0.75)
    for index, section in enumerate(cover.sections):
        y -= pitch
        number = str(section.sheet + 1)
        line, set_size = fitted(lettering, section.title, frame.width - 50, TEXT, size, 5)
        ink.text(frame.left, y, line, TEXT, set_size)
        ink.text_right(frame.right, y, number, TEXT, size)
        start = frame.left + lettering.width(line, TEXT, set_size) + 6
        end = frame.right - lettering.width(number, TEXT, size) - 6
        ink.dashed("0.4 3")
        ink.line(start, y + 1, end, y + 1, 0.4)
        ink.dashed("")
        cover.links.append(Link(Frame(frame.left, y - 2, frame.right, y + size), index))
