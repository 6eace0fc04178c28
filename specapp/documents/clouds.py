"""Which items of a drawing a revision changes: each drawing is asked for what it shows, and no more."""

from __future__ import annotations

from typing import Final

from specapp.documents.changes import TRAIN, Changes
from specapp.drawings.revision_marks import with_clouds
from specapp.drawings.scene import Scene

# A setpoint is not seen on the machine drawing, a place not on the setpoint scale.
_SHOWN: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("layout", ("points", "point_fields", "transducers", "shafts", TRAIN)),
    ("architecture", ("points", "point_fields", "transducers", "architecture")),
    ("trip-paths", ("points", "setpoints", "cause_and_effect")),
    ("setpoints-", ("points", "setpoints", "ranges")),
    ("frequencies", ("shafts", "frequencies")),
)


def clouded(scene: Scene, changes: Changes | None) -> Scene:
    """Return the scene with clouds around what a revision changes on it."""
    if changes is None:
        return scene
    subjects = next((shown for name, shown in _SHOWN if scene.name.startswith(name)), ())
    changed = changes.items(*subjects)
    # A drawing names probes of one bearing together, under the key that theirs begin with.
    together = {key.rpartition("/")[0] for key in changed if key.count("/") > 1}
    return with_clouds(scene, changed | together, changes.label)
