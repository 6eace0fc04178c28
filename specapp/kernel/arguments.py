"""Checks of arguments, shared by the calculations: a number, of the right sign, in words when not."""

from __future__ import annotations

from math import inf
from typing import Final

from specapp.kernel.errors import DomainError

__all__ = ["finite", "fraction", "non_negative", "one_of", "positive", "whole"]

_NUMBER: Final = (int, float)


def _is_number(value: object) -> bool:
    """Tell whether a value is a number; True and False, which Python counts among them, are none."""
    return isinstance(value, _NUMBER) and not isinstance(value, bool)


def finite(name: str, value: float, unit: str = "") -> float:
    """Return `value` when it is a finite number, else raise.

    Parameters
    ----------
    name : str
        Name of the argument, for the error.
    value : float
        Any number; booleans, infinities and not-a-number are refused.
    unit : str
        Unit of `value`, for the error.

    Returns
    -------
    float
        `value` unchanged.

    Raises
    ------
    DomainError
        If `value` is not a finite number.

    Notes
    -----
    Source: arithmetic.
    """
    if (type(value) is not float and not _is_number(value)) or not -inf < value < inf:
        raise DomainError(name, value, "a finite number", unit)
    return value


def positive(name: str, value: float, unit: str = "") -> float:
    """Return `value` when it is finite and above 0, else raise.

    Parameters
    ----------
    name : str
        Name of the argument, for the error.
    value : float
        Any number.
    unit : str
        Unit of `value`, for the error.

    Returns
    -------
    float
        `value` unchanged.

    Raises
    ------
    DomainError
        If `value` is not a finite number above 0.

    Notes
    -----
    Source: arithmetic.
    """
    if (type(value) is not float and not _is_number(value)) or not 0 < value < inf:
        raise DomainError(name, value, f"a finite number above 0 {unit}".rstrip(), unit)
    return value


def non_negative(name: str, value: float, unit: str = "") -> float:
    """Return `value` when it is finite and not below 0, else raise.

    Parameters
    ----------
    name : str
        Name of the argument, for the error.
    value : float
        Any number.
    unit : str
        Unit of `value`, for the error.

    Returns
    -------
    float
        `value` unchanged.

    Raises
    ------
    DomainError
        If `value` is not a finite number of at least 0.

    Notes
    -----
    Source: arithmetic.
    """
    if (type(value) is not float and not _is_number(value)) or not 0 <= value < inf:
        raise DomainError(name, value, f"a finite number of at least 0 {unit}".rstrip(), unit)
    return value


def fraction(name: str, value: float) -> float:
    """Return `value` when it lies from 0 to 1, else raise.

    Parameters
    ----------
    name : str
        Name of the argument, for the error.
    value : float
        Any number.

    Returns
    -------
    float
        `value` unchanged.

    Raises
    ------
    DomainError
        If `value` is not a number from 0 to 1.

    Notes
    -----
    Source: arithmetic.
    """
    if (type(value) is not float and not _is_number(value)) or not 0 <= value <= 1:
        raise DomainError(name, value, "a number from 0 to 1")
    return value


def whole(name: str, value: int, at_least: int = 1) -> int:
    """Return `value` as an int when it is a whole number of at least `at_least`, else raise.

    Parameters
    ----------
    name : str
        Name of the argument, for the error.
    value : int
        A count; 23.0 is taken for 23, 23.5 is refused.
    at_least : int
        Smallest count allowed.

    Returns
    -------
    int
        The count.

    Raises
    ------
    DomainError
        If `value` is not a whole number of at least `at_least`.

    Notes
    -----
    Source: arithmetic.
    """
    if (
        isinstance(value, bool)
        or not isinstance(value, _NUMBER)
        or not at_least <= value < inf
        or int(value) != value
    ):
        raise DomainError(name, value, f"a whole number of at least {at_least}")
    return int(value)


def one_of(name: str, value: object, allowed: tuple[object, ...]) -> None:
    """Raise when `value` is none of `allowed`.

    Parameters
    ----------
    name : str
        Name of the argument, for the error.
    value : object
        What was found.
    allowed : tuple of object
        The values allowed, in the order shown to the reader.

    Returns
    -------
    None
        Nothing.

    Raises
    ------
    DomainError
        If `value` is none of `allowed`, or True or False standing for 1 or 0.

    Notes
    -----
    Source: arithmetic.
    """
    if isinstance(value, bool) or value not in allowed:
        raise DomainError(name, value, "one of " + ", ".join(str(each) for each in allowed))
