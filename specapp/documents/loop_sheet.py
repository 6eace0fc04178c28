"""The parts of a loop's sheet in the descriptive system document: sketch, comparison, cable, budget, tags."""

from __future__ import annotations

from collections.abc import Sequence

from specapp.documents.book import Book
from specapp.documents.field_schedules import cable_number, tag_of, trains
from specapp.documents.fonts import BOLD, TEXT
from specapp.documents.ink import HAIRLINE, THIN
from specapp.documents.marks import BAR, FULL, HALF, OPEN
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.wording import NONE, number, plain, prose, words
from specapp.domain.proposal import Point, Proposal
from specapp.rulebook.entity_comparison import EntityComparison, EntityLine
from specapp.rulebook.loop_budget import BandwidthLimit, SupplyBudget
from specapp.rulebook.loop_types import Given, LoopType

_STAND_IN = f"{HALF} placeholder"
_RULES = {"": "none in the loop", "loop.fault_high": "the current that signals a fault"}
_BOX_WIDTH = 108.0
_BOX_HEIGHT = 46.0
_SKETCH_HEIGHT = 92.0


def _figure(value: float | None, decimals: int = 4) -> str:
    return NONE if value is None else number(float(f"{value:.{decimals}g}"))


def set_sketch(book: Book, proposal: Proposal, loop: LoopType, *, isolated: bool) -> None:
    """Draw the loop from left to right: device, box, area boundary, isolator, what reads it."""
    book.need(_SKETCH_HEIGHT + 8)
    ink, left = book.ink, book.frame.left
    top = book.y - 14
    reads = dict.fromkeys(_reader(proposal, point) for point in loop.points)
    stations = [
        (loop.title, loop.points[0].installation.required_marking or ""),
        ("Junction box", ""),
        *([("Galvanic isolator", "associated apparatus")] if isolated else []),
        (" and ".join(reads), "power supply"),
    ]
    gap = (min(book.frame.width, 560.0) - len(stations) * _BOX_WIDTH) / (len(stations) - 1)
    middle = top - _BOX_HEIGHT / 2
    for index, (name, below) in enumerate(stations):
        x = left + index * (_BOX_WIDTH + gap)
        if index:
            pitch = 4.0
            wires = 2 if loop.is_current_loop else 3
            for wire in range(wires):
                y = middle + (wire - (wires - 1) / 2) * pitch
                ink.line(x - gap, y, x, y, HAIRLINE)
            ink.dashed("1.5 1.5")
            ink.line(x - gap, middle - 9, x, middle - 9, HAIRLINE)
            ink.dashed("")
        ink.rectangle(x, top - _BOX_HEIGHT, _BOX_WIDTH, _BOX_HEIGHT, THIN, blank=True)
        _lettered(book, x + _BOX_WIDTH / 2, top - 18, name, BOLD, 7.2)
        _lettered(book, x + _BOX_WIDTH / 2, top - 31, below, TEXT, 6.2)
    boundary = left + 2 * _BOX_WIDTH + 1.5 * gap
    if loop.points[0].installation.protection is not None:
        ink.dashed("6 2 1 2")
        ink.line(boundary, top + 8, boundary, top - _BOX_HEIGHT - 20, THIN)
        ink.dashed("")
        ink.text_right(boundary - 5, top - _BOX_HEIGHT - 16, "classified area", TEXT, 6.4)
        ink.text(boundary + 5, top - _BOX_HEIGHT - 16, "safe area", TEXT, 6.4)
    # The shield goes to earth once, beside what reads the loop.
    earth_x = left + (len(stations) - 1) * (_BOX_WIDTH + gap) - 8
    ink.line(earth_x, middle - 9, earth_x, top - _BOX_HEIGHT - 6, HAIRLINE)
    for step in range(3):
        half = 5 - 1.6 * step
        y = top - _BOX_HEIGHT - 6 - 2 * step
        ink.line(earth_x - half, y, earth_x + half, y, HAIRLINE)
    ink.text(earth_x + 9, top - _BOX_HEIGHT - 10, "shield, earthed once", TEXT, 6.0)
    book.space(_SKETCH_HEIGHT)


def _lettered(book: Book, x: float, y: float, text: str, font: str, size: float) -> None:
    """Set a centred line, smaller where the box is too narrow for it."""
    line = book.lettering.clean(text)
    width = book.lettering.width(line, font, size)
    if width > _BOX_WIDTH - 6:
        size *= (_BOX_WIDTH - 6) / width
    book.ink.text_centred(x, y, line, font, round(size, 2))


def _reader(proposal: Proposal, point: Point) -> str:
    for cable in proposal.architecture.cables:
        if point.key in (cable.get("points") or ()):
            name = plain(cable.get("to"))
            racks = {rack.key for rack in proposal.architecture.racks}
            return f"rack {name}" if name in racks else name
    return NONE


def set_comparison(book: Book, compared: EntityComparison) -> None:
    """Set the entity comparison: a line each, its standing with shape and word."""
    book.heading("Entity comparison", with_next=90)
    rows = [
        (
            line.name,
            line.left_symbol,
            _figure(line.left),
            "≤",
            line.right_symbol,
            _figure(line.right),
            line.unit,
            _standing(line),
            line.text or NONE,
        )
        for line in compared.lines
    ]
    columns = (
        Column("Quantity", bold=True),
        Column("Gives or has", "right"),
        Column("Figure", "right"),
        Column(""),
        Column("Bears or permits", "right"),
        Column("Figure", "right"),
        Column("Unit"),
        Column("Standing"),
        Column("Note", widest=130),
    )
    set_table(book, trimmed(columns, rows))
    for note in compared.notes:
        book.paragraph(note, after=2)


def _standing(line: EntityLine) -> str:
    if line.holds is None:
        return _STAND_IN if line.illustrated else f"{OPEN} not told"
    return f"{FULL} fits" if line.holds else f"{BAR} does not fit"


def set_cable(
    book: Book,
    compared: EntityComparison | None,
    budget: SupplyBudget | None,
    bandwidth: BandwidthLimit | None,
) -> None:
    """Set the longest cable by each thing that limits it, the governing one in bold."""
    limits: list[tuple[str, float | None, str]] = []
    if compared is not None:
        longest = None if compared.longest is None else compared.longest.length_m
        fallback = ", fallback, to be confirmed" if compared.fallback_cable else ""
        basis = (
            f"{compared.governed_by}; cable {compared.cable_pf_per_m:g} pF/m, "
            f"{compared.cable_uh_per_m:g} µH/m{fallback}"
        )
        limits.append(("Intrinsic safety", longest, basis + _illustrated(bool(compared.missing))))
    if budget is not None:
        basis = f"{_size(budget)} at {budget.temperature.value:g} °C"
        limits.append(("Supply", budget.limits.longest_cable_m, basis + _illustrated(bool(budget.missing))))
    if bandwidth is not None:
        basis = (
            f"{number(bandwidth.needed_hz / 1000)} kHz within 5 percent, {bandwidth.cable_pf_per_m:g} pF/m, "
            f"{bandwidth.source_ohm:g} Ω"
        )
        limits.append(("Bandwidth", bandwidth.longest_cable_m, basis))
    if not limits:
        return
    book.heading("Longest cable", with_next=60)
    known = [length for _, length, _ in limits if length is not None]
    rows = [
        (
            f"▸ {name}, governs" if length is not None and length == min(known) else name,
            "none fits" if length is None else f"{length:.0f}",
            basis,
        )
        for name, length, basis in limits
    ]
    columns = (Column("Limited by", widest=140), Column("Length, m", "right"), Column("With", widest=330))
    set_table(book, Table(columns, rows))


def _illustrated(missing: bool) -> str:
    return f"; {_STAND_IN}s among the figures" if missing else ""


def set_budget(book: Book, budget: SupplyBudget) -> None:
    """Set the supply budget as the sum it is."""
    book.heading("Supply budget", with_next=110)
    cable = "run not told" if budget.run_m is None else f"{budget.run_m:g} m of {_size(budget)}, both ways"
    rows = [
        ("Least supply voltage", _figure(budget.supply.value), "V", _origin(budget.supply)),
        ("Current", _figure(budget.current.value), "mA", _origin(budget.current)),
        ("Interface", _figure(budget.interface.value), "Ω", _origin(budget.interface)),
        ("Cable", _figure(budget.cable_ohm), "Ω", f"{cable} at {budget.temperature.value:g} °C"),
    ]
    if budget.loop.is_current_loop:
        rows.append(("Load", _figure(budget.load.value), "Ω", _origin(budget.load)))
    rows += [
        ("Left at the device", _figure(budget.voltage_v), "V", _verdict(budget)),
        ("Needed at the device", _figure(budget.minimum.value), "V", _origin(budget.minimum)),
    ]
    columns = (
        Column("Part", bold=True),
        Column("Figure", "right"),
        Column("Unit"),
        Column("Standing", widest=300),
    )
    set_table(book, Table(columns, rows))
    book.paragraph(_turning(budget))


def _size(budget: SupplyBudget) -> str:
    told = "installation.conductor" not in budget.missing
    return _square(budget.conductor) + ("" if told else " (not told, taken here)")


def _square(size: str) -> str:
    return size.replace("mm2", "mm²")


def _verdict(budget: SupplyBudget) -> str:
    if budget.works is None:
        return f"{OPEN} not evaluated: an illustration" if budget.voltage_v is not None else f"{OPEN} open"
    return f"{FULL} enough" if budget.works else f"{BAR} too little"


def _turning(budget: SupplyBudget) -> str:
    """Say what would turn the answer, each with everything else as it is."""
    limits = budget.limits
    found = []
    if limits.longest_cable_m is not None:
        found.append(f"cable of {limits.longest_cable_m:.0f} m")
    if budget.loop.is_current_loop and limits.largest_load_ohm is not None:
        found.append(f"load of {limits.largest_load_ohm:.0f} Ω")
    if limits.thinnest_conductor is not None:
        found.append(f"conductors of {_square(limits.thinnest_conductor)}")
    if limits.hottest_conductor_c is not None:
        hot = limits.hottest_conductor_c
        found.append("any conductor temperature" if hot > 200 else f"conductors at {hot:.0f} °C")
    if not found:
        return "No cable, load or conductor makes this loop work: its supply or interface has to change."
    return f"What would still work, each by itself: {', '.join(found)}."


def _origin(given: Given) -> str:
    if given.origin == "placeholder":
        return f"{_STAND_IN}, needs {given.path}"
    if given.origin == "rule":
        return _RULES.get(given.path, given.path)
    return given.origin


def set_bands(book: Book, proposal: Proposal, loop: LoopType) -> None:
    """Set the fault bands of a current or a gap voltage."""
    criteria = {str(row["key"]): row["value"] for row in proposal.criteria}
    if loop.is_current_loop:
        low, high = criteria["loop.fault_low"], criteria["loop.fault_high"]
        from_ma, to_ma = criteria["loop.band_low"], criteria["loop.band_high"]
        rows: Sequence[tuple[str, ...]] = [
            (f"to {low:g}", "circuit fault, low"),
            (f"{low:g} to {from_ma:g}", "uncertain"),
            (f"{from_ma:g} to 4", "below the range"),
            ("4 to 20", "reading"),
            (f"20 to {to_ma:g}", "above the range, counts as above trip"),
            (f"{to_ma:g} to {high:g}", "uncertain, counts as above trip"),
            (f"from {high:g}", "circuit fault, high"),
        ]
        book.heading("Bands of the loop current (NAMUR NE 43)", with_next=100)
        set_table(book, Table((Column("mA", "right"), Column("Means", widest=200)), rows))
    elif loop.key == "oscillator_demodulator":
        near, far = criteria["probe.fault_voltage_near"], criteria["probe.fault_voltage_far"]
        rest = criteria["probe.gap_voltage"]
        book.paragraph(
            prose(f"Gap voltage {rest:g} V at rest; above {near:g} V and below {far:g} V is a circuit fault.")
        )


def set_tags(book: Book, proposal: Proposal, loop: LoopType) -> None:
    """Set the tags that this sheet stands for, every train, with box and cable."""
    numbers = {
        str(key): cable_number(index)
        for index, cable in enumerate(proposal.architecture.cables)
        for key in cable.get("points") or ()
    }
    rows = [
        (
            tag_of(point, train),
            words(point.quantity),
            point.bearing or point.shaft,
            point.installation.junction_box or NONE,
            numbers.get(point.key, NONE),
        )
        for train in trains(proposal)
        for point in loop.points
    ]
    book.heading(f"Tags of this sheet ({len(rows)})", with_next=60)
    columns = (
        Column("Tag", bold=True, repeat=True),
        Column("Quantity"),
        Column("At"),
        Column("Box"),
        Column("Cable"),
    )
    set_table(book, Table(columns, rows))
