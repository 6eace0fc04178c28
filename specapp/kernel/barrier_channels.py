"""Several channels of barriers on one device: what they may give together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from specapp.kernel.arguments import one_of, positive
from specapp.kernel.errors import DomainError

__all__ = ["CombinedChannels", "combined_channels"]


@dataclass(frozen=True, slots=True)
class CombinedChannels:
    """Voltage [V], current [mA] and power [W] that several channels may give together."""

    uo_v: float
    io_ma: float
    po_w: float


def combined_channels(
    channels: Sequence[tuple[float, float, float]], connection: Literal["series", "parallel", "unknown"]
) -> CombinedChannels:
    """Return what several channels on one field device may give together.

    Parameters
    ----------
    channels : sequence of tuple of float
        Uo [V], Io [mA] and Po [W] of each channel by its certificate, each > 0; at least one channel.
    connection : {"series", "parallel", "unknown"}
        How a fault may connect them: in series the voltages add, in parallel the currents; "unknown" adds
        both, as for the supply and the signal of a three-wire device whose connection nobody has shown.

    Returns
    -------
    CombinedChannels
        Sums and, of what does not add, the largest value. The powers always add.

    Raises
    ------
    DomainError
        If there is no channel, a figure is not above 0, or the connection unknown by name.

    Notes
    -----
    Co and Lo of the combination do not follow from those of the channels: they are read for the combined
    voltage and current from the certificate, which governs throughout.

    Source: IEC 60079-14, annex on combined sources (from memory).
    Checked: tests/kernel/test_barrier_channels.py.

    Examples
    --------
    >>> combined_channels([(28.0, 93.0, 0.65), (10.0, 20.0, 0.05)], "parallel")
    CombinedChannels(uo_v=28.0, io_ma=113.0, po_w=0.7000000000000001)
    """
    one_of("connection", connection, ("series", "parallel", "unknown"))
    if not channels:
        raise DomainError("channels", "none", "at least one channel")
    volts = [positive("uo_v", uo, "V") for uo, _, _ in channels]
    milliamps = [positive("io_ma", io, "mA") for _, io, _ in channels]
    watts = [positive("po_w", po, "W") for _, _, po in channels]
    return CombinedChannels(
        max(volts) if connection == "parallel" else sum(volts),
        max(milliamps) if connection == "series" else sum(milliamps),
        sum(watts),
    )
