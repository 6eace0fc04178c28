"""Placeholder figures of loop devices, for illustration until the user tells those of the chosen ones."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources

__all__ = ["placeholder"]


@cache
def _table() -> Mapping[str, Mapping[str, float]]:
    text = resources.files("specapp.catalogue").joinpath("data/loop_devices.toml").read_text("utf-8")
    return tomllib.loads(text)


def placeholder(device: str, field: str) -> float | None:
    """Return an illustrative figure of a kind of device in the unit of the field's name, None without one.

    Status: placeholder. No check passes or fails on it.
    """
    return _table().get(device, {}).get(field)
