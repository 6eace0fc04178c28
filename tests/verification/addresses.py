"""Who gets what at the addresses of the signal bench."""

from tests.verification.making import kept

_SIGN_IN = 302
_READING = (_SIGN_IN, 404, 403, 200, 200, 200)
_NEVER = (_SIGN_IN, 405, 405, 405, 405, 405)
_EDITING_EMPTY = (_SIGN_IN, 404, 403, 403, 422, 422)

MATRIX = {
    "verification:run-list": (_READING, _NEVER),
    "verification:run-new": (_NEVER, _EDITING_EMPTY),
    "verification:run-show": (_READING, _NEVER),
    "verification:cell-show": (_READING, _NEVER),
    "verification:run-report": (_READING, _NEVER),
}


def place(name, project, machine):
    """Return what an address of the bench has, and its query."""
    of_machine = [project.pk, machine.pk]
    if name in ("verification:run-list", "verification:run-new"):
        return of_machine, None
    run = kept(machine, scenarios=("step_above_trip",))
    query = {"function": "BG/B1/radial", "scenario": "step_above_trip"} if "cell" in name else None
    return [*of_machine, run.number], query
