"""The gases of a hazardous area in both data sets, and what they make of its group and class."""

from collections.abc import Sequence

from specapp.assurance.presenting.parts import Part
from specapp.catalogue import gases
from specapp.catalogue.gases import Gas, most_severe
from specapp.documents.wording import NONE, number
from specapp.domain.display import other_unit
from specapp.kernel.area_classes import System, required_temperature_class
from specapp.kernel.errors import DomainError, KernelError
from specapp.kernel.units import UNITS, convert
from specapp.projects.presenting.figures import Display, figure
from specapp.projects.presenting.reader import status_mark
from specapp.projects.presenting.tables import Block, Cell, Column, Lines, Row, Table, joined


def gases_part(area: Sequence[str], handled: Sequence[str], system: System, display: Display) -> Part:
    """Return the gases in the area and those only handled, and which of them govern group and class."""
    symbol = UNITS[other_unit("degC", display) or "degC"].symbol
    columns = (
        Column("Gas"),
        Column("CAS", "nowrap"),
        Column("Where"),
        Column("Group, IEC"),
        Column("Group, NEC"),
        Column(f"Ignition, IEC, {symbol}", "number"),
        Column(f"Ignition, NFPA, {symbol}", "number"),
        Column("Class by IEC"),
        Column("Class by NFPA"),
        Column("Limits in air, %", "number"),
    )
    named = [(gases.find(name), "in the area") for name in area] + [
        (gases.find(name), "handled") for name in handled
    ]
    if not named:
        return Part(
            "gases", "Gases", [Lines(["No gas is named: group and class are told outright, or open."])]
        )
    rows = [_gas_row(gas, where, system, display) for gas, where in named]
    blocks: list[Block] = [Table("Gases", columns, rows)]
    burning = [gas for gas, where in named if where == "in the area" and gas.flammable]
    if burning:
        blocks.append(Lines(_governing(burning, system, display)))
    note = "Ignition temperatures IEC 60079-20-1:2010 and NFPA 497:2008 as published; groups from memory."
    blocks.append(Lines([note], style="soft"))
    return Part("gases", "Gases", blocks)


def _gas_row(gas: Gas, where: str, system: System, display: Display) -> Row:
    if not gas.flammable:
        return Row((gas.name, gas.cas or NONE, where, "does not burn", *([NONE] * 6)))
    limits = NONE
    if gas.lower_limit_percent is not None and gas.upper_limit_percent is not None:
        limits = f"{number(gas.lower_limit_percent)} to {number(gas.upper_limit_percent)}"
    return Row(
        (
            gas.name,
            gas.cas or NONE,
            where,
            _marked(gas, "iec_group", gas.iec_group or NONE),
            _marked(gas, "nec_group", gas.nec_group or NONE),
            _marked(gas, "ignition_iec_c", _temperature(gas.ignition_iec_c, display)),
            _marked(gas, "ignition_nfpa_c", _temperature(gas.ignition_nfpa_c, display)),
            _class(gas.ignition_iec_c, system),
            _class(gas.ignition_nfpa_c, system),
            limits,
        )
    )


def _marked(gas: Gas, name: str, text: str) -> Cell:
    """Return what is known of a gas with the status of its source."""
    return joined([text, status_mark(gas.source_of(name).status)], "")


def _temperature(value_c: float | None, display: Display) -> str:
    """Return a published temperature without its unit, which stands above the column."""
    target = other_unit("degC", display)
    return number(value_c if value_c is None or target is None else round(convert(value_c, "degC", target)))


def _class(ignition_c: float | None, system: System) -> str:
    if ignition_c is None:
        return NONE
    try:
        return required_temperature_class(ignition_c, system)
    except DomainError:
        return "none"


def _governing(burning: Sequence[Gas], system: System, display: Display) -> list[str]:
    try:
        found = most_severe(burning, system)
    except KernelError as error:
        return [f"Which gas governs is open: {error}"]
    sets = {found.temperature_class_iec, found.temperature_class_nfpa} - {None}
    differ = (
        f" By IEC alone it would be {found.temperature_class_iec or 'open'}, by NFPA alone "
        f"{found.temperature_class_nfpa or 'open'}; the adopted code says which is binding."
        if len(sets) > 1
        else " Both data sets give the same class."
    )
    groups = " and ".join(found.groups) if system == "division" else found.group
    return [
        f"Group {groups}, by {found.group_gas}.",
        (
            f"Class {found.temperature_class}, by {found.temperature_gas} at "
            f"{figure(found.ignition_temperature_c, 'degC', display)} ({found.data_set}).{differ}"
        ),
    ]
