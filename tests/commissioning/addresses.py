"""Who gets what at the addresses of commissioning."""

from tests.commissioning.making import made, measured

_SIGN_IN = 302
_READING = (_SIGN_IN, 404, 403, 200, 200, 200)
_EDITING = (_SIGN_IN, 404, 403, 403, 200, 200)
_NEVER = (_SIGN_IN, 405, 405, 405, 405, 405)
_EDITING_EMPTY = tuple(422 if answer == 200 else answer for answer in _EDITING)

MATRIX = {
    "commissioning:commissioning-show": (_READING, _NEVER),
    "commissioning:checklist-new": (_NEVER, _EDITING_EMPTY),
    "commissioning:as-built-show": (_READING, _NEVER),
    "commissioning:as-built-file": (_READING, _NEVER),
    "commissioning:left-enter": (_EDITING, _EDITING_EMPTY),
    "commissioning:measurement-file": (_READING, _NEVER),
    "commissioning:measurement-new": (_EDITING, _EDITING_EMPTY),
    "commissioning:measurement-show": (_READING, _NEVER),
    "commissioning:measurement-adopt": (_NEVER, _EDITING_EMPTY),
    "commissioning:checklist-show": (_READING, _NEVER),
    "commissioning:item-fill": (_READING, _EDITING_EMPTY),
    "commissioning:checklist-sign": (_EDITING, _EDITING_EMPTY),
    "commissioning:checklist-file": (_READING, _NEVER),
}


def place(name, project, machine):
    """Return what an address of commissioning has."""
    of_machine = [project.pk, machine.pk]
    if name in (
        "commissioning:commissioning-show",
        "commissioning:checklist-new",
        "commissioning:measurement-file",
        "commissioning:as-built-show",
        "commissioning:left-enter",
    ):
        return of_machine
    if name == "commissioning:as-built-file":
        return [*of_machine, "csv"]
    if name == "commissioning:measurement-new":
        return [*of_machine, "gap_voltage"]
    if name.startswith("commissioning:measurement"):
        return [*of_machine, measured(machine).pk]
    more = {"commissioning:item-fill": [1], "commissioning:checklist-sign": ["TESTED"]}
    return [*of_machine, made(machine).pk, *more.get(name, [])]
