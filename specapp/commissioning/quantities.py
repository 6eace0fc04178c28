"""Numbers as they are typed beside an instrument: in the unit asked for unless another one is named."""

from specapp.domain.quantities import QuantityError, parse_quantity
from specapp.kernel.units import UNITS, kinds_named

# Differences: an offset scale such as the Celsius would turn 0.2 K into -272.95.
_BARE = frozenset({"K", "", "percent"})
LONGEST = 80


def symbol_of(unit: str) -> str:
    """Return the printed symbol of a unit."""
    return UNITS[unit].symbol if unit in UNITS else unit


def number_in(text: str, unit: str) -> float:
    """Return a typed number in a unit; raises `QuantityError` with what is wrong in one phrase."""
    typed = text.strip().replace("\N{MINUS SIGN}", "-")
    if len(typed) > LONGEST:
        raise QuantityError(f"longer than {LONGEST} characters")
    kinds = () if unit in _BARE else kinds_named(unit)
    if not kinds:
        return _bare(typed.removesuffix(unit).strip() if unit else typed, unit)
    problem: QuantityError | None = None
    for kind in kinds:
        try:
            return parse_quantity(typed, kind.key, unit)
        except QuantityError as error:
            problem = problem or error
    raise problem or QuantityError("a number is needed")


def _bare(text: str, unit: str) -> float:
    try:
        return parse_quantity(text, "voltage", "V") if _is_plain(text) else _refused(unit)
    except QuantityError:
        return _refused(unit)


def _is_plain(text: str) -> bool:
    return bool(text) and all(char in "0123456789+-.eE" for char in text)


def _refused(unit: str) -> float:
    raise QuantityError(f"a number in {unit} is needed" if unit else "a number is needed")
