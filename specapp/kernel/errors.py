"""Errors of the calculations: each names the quantity, what was found and what is allowed."""

from __future__ import annotations

__all__ = ["DomainError", "KernelError", "MissingInput", "OutOfRange"]


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.10g}"
    return repr(value) if isinstance(value, str) else str(value)


class KernelError(ValueError):
    """A calculation that cannot be done; catch this to catch all three kinds.

    Parameters
    ----------
    name : str
        Name of the argument, with its unit in it where it has one.
    value : object
        What was found.
    limit : str
        What is allowed, as a phrase that completes the sentence of the kind, its unit included.
    unit : str
        Unit of `value`, empty where it has none.
    """

    _verb = "it must be"

    def __init__(self, name: str, value: object = None, limit: str = "", unit: str = "") -> None:
        super().__init__(name, value, limit, unit)
        self.name = name
        self.value = value
        self.limit = limit
        self.unit = unit

    def __str__(self) -> str:
        found = f"{_shown(self.value)} {self.unit}".strip()
        allowed = f"; {self._verb} {self.limit}" if self.limit else ""
        return f"{self.name} is {found}{allowed}."


class DomainError(KernelError):
    """The value is impossible: not a number, of the wrong sign, or against geometry.

    >>> print(DomainError("speed_rpm", -5.0, "above 0 rpm", "rpm"))
    speed_rpm is -5 rpm; it must be above 0 rpm.
    """


class OutOfRange(KernelError):
    """The value is possible, but the formula does not hold for it.

    >>> print(OutOfRange("pfd_avg", 1.1, "below 1"))
    pfd_avg is 1.1; the formula holds only for values below 1.
    """

    _verb = "the formula holds only for values"


class MissingInput(KernelError):
    """A value that the calculation needs was not given.

    >>> print(MissingInput("full_test_interval_h", None, "a proof test that finds less than everything"))
    full_test_interval_h is missing; it is needed for a proof test that finds less than everything.
    """

    def __str__(self) -> str:
        needed = f"; it is needed for {self.limit}" if self.limit else ""
        return f"{self.name} is missing{needed}."
