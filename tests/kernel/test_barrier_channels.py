"""Channels together: series adds voltages, parallel currents (common practice; IEC 60079-14 from memory)."""

import pytest

from specapp.kernel.barrier_channels import combined_channels
from specapp.kernel.errors import DomainError

SUPPLY, SIGNAL = (28.0, 93.0, 0.65), (10.0, 20.0, 0.05)


@pytest.mark.parametrize(
    ("connection", "uo_v", "io_ma"),
    [("series", 38.0, 93.0), ("parallel", 28.0, 113.0), ("unknown", 38.0, 113.0)],
)
def test_supply_and_signal(connection, uo_v, io_ma):
    found = combined_channels([SUPPLY, SIGNAL], connection)
    assert (found.uo_v, found.io_ma, found.po_w) == (uo_v, io_ma, pytest.approx(0.70))


@pytest.mark.parametrize("connection", ["series", "parallel", "unknown"])
def test_one_channel_is_itself(connection):
    found = combined_channels([SUPPLY], connection)
    assert (found.uo_v, found.io_ma, found.po_w) == SUPPLY


@pytest.mark.parametrize(
    ("channels", "connection"),
    [([], "series"), ([(0.0, 93.0, 0.65)], "series"), ([(28.0, -1.0, 0.65)], "parallel"), ([SUPPLY], "both")],
)
def test_bad_input(channels, connection):
    with pytest.raises(DomainError):
        combined_channels(channels, connection)
