"""Records of measurements as pages show them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from specapp.bench.measuring.probes import CURVE, curve_of
from specapp.bench.measuring.records import Field, Judgement
from specapp.bench.measuring.registry import KINDS
from specapp.commissioning.models import Condition, Measurement
from specapp.commissioning.services.measurements import judgement_of
from specapp.domain.display import with_unit
from specapp.drawings.signal_plots_curve import loop_curve_scene
from specapp.kernel.errors import DomainError
from specapp.kernel.loop_curve_comparison import CurveComparison, compare_curves
from specapp.projects.models import Machine

_GAP_V = -10.0


@dataclass(frozen=True, slots=True)
class Line:
    """A record in a list: its verdict in words and the first of its results."""

    row: Measurement
    title: str
    judged: Judgement
    is_corrected: bool

    @property
    def verdict(self) -> str:
        return "pass" if self.judged.passes else "fail"

    @property
    def first(self) -> str:
        return ": ".join(self.judged.results[0]) if self.judged.results else ""


def machine_lines(machine: Machine) -> list[Line]:
    """Return the records of a machine by kind and item, the latest first; one query."""
    rows = list(Measurement.objects.filter(machine=machine))
    corrected = {row.corrects_id for row in rows}
    order = list(KINDS)
    rows.sort(key=lambda row: (order.index(row.kind), row.item, -row.pk))
    return [Line(row, KINDS[row.kind].title, judgement_of(row), row.pk in corrected) for row in rows]


def data_lines(fields: Iterable[Field], data: dict[str, Any]) -> list[tuple[str, str]]:
    """Return what was written down as name and text."""
    lines = []
    for each in fields:
        value = data.get(each.name)
        if value is None or each.type == "readings":
            continue
        words = dict(each.choices)
        text = words.get(value, value) if each.type != "number" else with_unit(value, each.unit or "1")
        lines.append((each.label, str(text)))
    return lines


def found_before(row: Measurement) -> Measurement | None:
    """Return the curve as found that one as left is compared with: the last before it that stands."""
    if row.kind != CURVE.key or row.condition != Condition.AS_LEFT:
        return None
    rows = Measurement.objects.filter(
        machine=row.machine_id,
        kind=row.kind,
        item=row.item,
        train=row.train,
        condition=Condition.AS_FOUND,
        corrected_by=None,
        pk__lt=row.pk,
    )
    return rows.order_by("-pk").first()


@dataclass(frozen=True, slots=True)
class Change:
    """As left against as found, or why they cannot be compared."""

    before: Measurement
    comparison: CurveComparison | None
    problem: str = ""

    @property
    def text(self) -> str:
        if self.comparison is None:
            return self.problem
        found = self.comparison
        return (
            f"Scale factor {found.scale_factor_percent:+.1f} percent, gap for {_GAP_V:g} V "
            f"changed by {found.gap_shift_mm:+.3f} mm, largest difference {found.largest_um:.0f} µm."
        )


def change_of(row: Measurement) -> Change | None:
    before = found_before(row)
    if before is None:
        return None
    try:
        return Change(before, compare_curves(before.data["readings"], row.data["readings"], _GAP_V))
    except DomainError as error:
        return Change(before, None, f"Not compared: {error}")


def curve_scene(row: Measurement, before: Measurement | None):
    """Return the picture of a curve with the limits it was judged by, as found dashed behind it."""
    return loop_curve_scene(
        curve_of(row.data, row.limits),
        key=row.item,
        title=f"Loop curve of {row.tags or row.item}",
        nominal_v_per_mm=row.limits["nominal_v_per_mm"],
        increment_error_percent=row.limits["increment_error_percent"],
        deviation_um=row.limits["deviation_um"],
        as_found=curve_of(before.data, before.limits) if before else None,
    )


def counted(lines: Sequence[Line]) -> tuple[int, int]:
    """Return how many records stand and how many of them fail."""
    standing = [line for line in lines if not line.is_corrected]
    return len(standing), sum(not line.judged.passes for line in standing)
