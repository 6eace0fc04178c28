"""Who gets what at the addresses of commissioning."""

from tests.commissioning.making import made

_SIGN_IN = 302
_READING = (_SIGN_IN, 404, 403, 200, 200, 200)
_EDITING = (_SIGN_IN, 404, 403, 403, 200, 200)
_NEVER = (_SIGN_IN, 405, 405, 405, 405, 405)
_EDITING_EMPTY = tuple(422 if answer == 200 else answer for answer in _EDITING)

MATRIX = {
    "commissioning:commissioning-show": (_READING, _NEVER),
    "commissioning:checklist-new": (_NEVER, _EDITING_EMPTY),
    "commissioning:checklist-show": (_READING, _NEVER),
    "commissioning:item-fill": (_READING, _EDITING_EMPTY),
    "commissioning:checklist-sign": (_EDITING, _EDITING_EMPTY),
    "commissioning:checklist-file": (_READING, _NEVER),
}


def place(name, project, machine):
    """Return what an address of commissioning has."""
    of_machine = [project.pk, machine.pk]
    if name in ("commissioning:commissioning-show", "commissioning:checklist-new"):
        return of_machine
    more = {"commissioning:item-fill": [1], "commissioning:checklist-sign": ["TESTED"]}
    return [*of_machine, made(machine).pk, *more.get(name, [])]
