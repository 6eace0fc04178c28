"""Defect frequencies of rolling bearings."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians

from specapp.kernel.arguments import finite, non_negative, positive, whole
from specapp.kernel.errors import DomainError

__all__ = ["DefectFrequencies", "defect_frequencies_hz"]


@dataclass(frozen=True, slots=True)
class DefectFrequencies:
    """Frequencies at which the parts of a rolling bearing show a defect [Hz].

    `bpfo` and `bpfi`: rolling elements over a defect of the outer and of the inner ring; `bsf`: a defect of
    a rolling element against one ring (it meets both rings at twice that rate); `ftf`: the cage.
    """

    bpfo: float
    bpfi: float
    bsf: float
    ftf: float


def defect_frequencies_hz(
    speed_rpm: float,
    balls: int,
    ball_diameter_mm: float,
    pitch_diameter_mm: float,
    contact_angle_deg: float = 0.0,
) -> DefectFrequencies:
    """Return the defect frequencies of a rolling bearing.

    Parameters
    ----------
    speed_rpm : float
        Speed of the inner ring against a fixed outer ring [rpm], >= 0.
    balls : int
        Rolling elements, >= 1.
    ball_diameter_mm : float
        Diameter of a rolling element [mm], > 0 and less than the pitch diameter.
    pitch_diameter_mm : float
        Diameter of the circle through the centres of the rolling elements [mm], > 0.
    contact_angle_deg : float
        Contact angle [deg], from 0 to less than 90.

    Returns
    -------
    DefectFrequencies
        bpfo, bpfi, bsf, ftf [Hz].

    Raises
    ------
    DomainError
        If an argument is outside its range or the rolling element is not smaller than the pitch diameter.

    Notes
    -----
    Holds for pure rolling on rigid rings; slip lowers the real values by 1 to 2 percent (common practice).
    The CWRU Bearing Data Center prints 2*bsf under "ball".

    Source: textbook kinematics (common practice).
    Checked: tests/published/test_cwru_bearing_data_center.py.

    Examples
    --------
    >>> found = defect_frequencies_hz(1797.0, 9, 7.94004, 39.0398)
    >>> round(found.bpfi, 2), round(found.bpfo, 2)
    (162.19, 107.36)
    """
    non_negative("speed_rpm", speed_rpm, "rpm")
    count = whole("balls", balls)
    positive("pitch_diameter_mm", pitch_diameter_mm, "mm")
    if positive("ball_diameter_mm", ball_diameter_mm, "mm") >= pitch_diameter_mm:
        raise DomainError(
            "ball_diameter_mm",
            ball_diameter_mm,
            f"less than the pitch diameter, {pitch_diameter_mm:g} mm",
            "mm",
        )
    if not 0 <= finite("contact_angle_deg", contact_angle_deg, "deg") < 90:
        raise DomainError("contact_angle_deg", contact_angle_deg, "from 0 to less than 90 deg", "deg")
    ratio = ball_diameter_mm * cos(radians(contact_angle_deg)) / pitch_diameter_mm
    half_hz = speed_rpm / 120
    return DefectFrequencies(
        bpfo=count * half_hz * (1 - ratio),
        bpfi=count * half_hz * (1 + ratio),
        # Rolling speed over the element's own diameter: pitch/ball, not 1/ratio, or an angled contact would
        # divide by the cosine a second time.
        bsf=half_hz * (pitch_diameter_mm / ball_diameter_mm) * (1 - ratio * ratio),
        ftf=half_hz * (1 - ratio),
    )
