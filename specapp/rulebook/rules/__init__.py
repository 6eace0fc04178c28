"""The rules, a file a subject. Importing this package registers them in the order they run within a phase."""

import importlib

_SUBJECTS = (
    "scope",
    "facts",
    "points_radial",
    "points_axial",
    "points_other",
    "points_driver",
    "transducers",
    "installation",
    "frequencies",
    "setpoints_radial",
    "setpoints_axial",
    "setpoints_casing",
    "setpoints_other",
    "checks_setpoints",
    "checks_probes",
    "checks_pulses",
    "checks_bands",
    "checks_shafts",
    "area",
    "boxes",
    "racks",
    "relays",
    "cables",
    "interfaces",
    "tags",
    "cause_and_effect",
    "process_protection",
    "bill",
    "responsibility",
    "safety",
    "reconciliation",
)
for _subject in _SUBJECTS:
    importlib.import_module(f"{__name__}.{_subject}")
