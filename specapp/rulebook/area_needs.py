"""What a classified area asks of every device in it: level, group, class, concept and marking."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.catalogue.gases import GasSeverity, most_severe
from specapp.kernel.area_classes import LEVELS, System, level_for_zone
from specapp.kernel.errors import DomainError, MissingInput
from specapp.rulebook.context import Context

INTRINSICALLY_SAFE = ("ia", "ic")

# Concepts a level admits for a measuring chain; the first is taken where nobody chose. Division 1 is
# served as Gb and division 2 as Gc, in the words of the division system.
_CONCEPTS = {
    "Ga": {"intrinsic_safety": "ia"},
    "Gb": {"intrinsic_safety": "ia", "flameproof": "db"},
    "Gc": {"non_sparking": "ec", "intrinsic_safety": "ic", "flameproof": "db"},
}
_DIVISION_WORDS = {"ia": "ia", "ic": "ia", "ec": "nonincendive", "db": "explosionproof"}
# What is written behind the class of a division marking; nonincendive equipment bears the class alone.
_DIVISION_SUFFIX = {"ia": ", intrinsically safe", "nonincendive": "", "explosionproof": ", explosionproof"}


@dataclass(frozen=True, slots=True)
class Area:
    """What a classified area asks of every device in it.

    ``level`` is None in a division without a level asked outright. ``groups`` and
    ``temperature_class`` are empty where neither told nor to be had from the gases; ``marking``
    is then None. ``refused`` is the protection asked that the area does not admit.
    """

    system: System
    level: str | None
    groups: tuple[str, ...]
    temperature_class: str
    protection: str
    marking: str | None
    associated_marking: str | None
    refused: str | None
    severity: GasSeverity | None

    @property
    def intrinsically_safe(self) -> bool:
        return self.protection in INTRINSICALLY_SAFE


def area_of(ctx: Context) -> Area | None:
    """Return what the area asks, or None in an unclassified one."""
    told = ctx.machine.hazardous_area
    if told.unclassified:
        return None
    system: System = "zone" if told.zone is not None else "division"
    severity = _area_severity(ctx, system)
    groups = (told.gas_group,) if told.gas_group else (severity.groups if severity else ())
    if system == "zone":
        groups = groups[:1]
    temperature_class = told.temperature_class or (severity.temperature_class if severity else "")
    level: str | None = told.equipment_protection_level
    if told.zone is not None:
        level = level or level_for_zone(told.zone)
    served_as = level or LEVELS[int(told.division or 1)]
    admitted = _CONCEPTS[served_as]
    asked = ctx.machine.installation.protection
    concept = admitted.get(asked or "", next(iter(admitted.values())))
    refused = asked if asked is not None and asked not in admitted else None
    protection = concept if system == "zone" else _DIVISION_WORDS[concept]
    marking = associated = None
    if groups and temperature_class:
        marking = _marking(told.division, served_as, protection, groups, temperature_class)
        if protection in INTRINSICALLY_SAFE:
            associated = f"[Ex {protection} {served_as}] {groups[0]}"
            if system == "division":
                associated = f"{_class_text(told.division, groups)}, associated apparatus"
    return Area(system, level, groups, temperature_class, protection, marking, associated, refused, severity)


def _area_severity(ctx: Context, system: System) -> GasSeverity | None:
    """Return what the gases of the area ask, or None where they cannot say."""
    try:
        return most_severe([ctx.gases[name] for name in ctx.machine.hazardous_area.area_gases], system)
    except (DomainError, MissingInput):
        return None


def _marking(
    division: int | None, served_as: str, protection: str, groups: tuple[str, ...], temperature_class: str
) -> str:
    if division is not None:
        return f"{_class_text(division, groups)}, {temperature_class}{_DIVISION_SUFFIX[protection]}"
    # Flameproof equipment is db, level Gb, also where Gc would do.
    level = "Gb" if protection == "db" else served_as
    return f"Ex {protection} {groups[0]} {temperature_class} {level}"


def _class_text(division: int | None, groups: tuple[str, ...]) -> str:
    letters = " and ".join(filter(None, [", ".join(groups[:-1]), groups[-1]]))
    return f"Class I, Division {division}, Group{'s' if len(groups) > 1 else ''} {letters}"
