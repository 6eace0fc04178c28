"""The criteria the rules engine starts from, read once from the project's own cited data."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from pathlib import Path

from specapp.criteria.criteria_set import CriteriaSet, CriterionNotFound, OverrideOutOfRange
from specapp.criteria.criterion import Criterion, Override, weakest_status
from specapp.criteria.data_files import CriteriaDataError, read_data_files
from specapp.criteria.override_file import read_overrides

__all__ = [
    "DATA_FOLDER",
    "CriteriaDataError",
    "CriteriaSet",
    "Criterion",
    "CriterionNotFound",
    "Override",
    "OverrideOutOfRange",
    "load_defaults",
    "read_criteria_file",
    "weakest_status",
]

DATA_FOLDER = Path(__file__).parent / "data"


@lru_cache(maxsize=1)
def _all_rows() -> tuple[Criterion, ...]:
    return read_data_files(sorted(DATA_FOLDER.glob("*.toml")))


@lru_cache(maxsize=8)
def load_defaults(on: date | None = None) -> CriteriaSet:
    """Return the criteria in force on a date; without one the latest row of each.

    No clock is read: the same data always gives the same criteria. A key whose first row is later
    than the date is not in the set. Raises CriteriaDataError where the data is faulty.
    """
    in_force = {row.key: row for row in _all_rows() if on is None or row.valid_from <= on}
    return CriteriaSet(in_force.values())


def read_criteria_file(data: bytes) -> dict[str, Override]:
    """Return the overrides of a criteria file (TOML of `[[criterion]]` with key, value and reason).

    Raises `domain.problems.InputErrors` with every problem of the file.
    """
    return read_overrides(data, load_defaults())
