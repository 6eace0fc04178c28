"""A comment of a program, held against the same form as one that is typed."""

import re
from typing import Any

from specapp.api.shapes import CommentIn
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.review.audience import audiences_of
from specapp.review.forms import CommentForm
from specapp.review.views.common import Desk

_TOLD = re.compile(r"Found (.*); allowed: (.*)\.", re.DOTALL)


def comment_form(desk: Desk, comment: CommentIn) -> CommentForm:
    """Return the form of a comment, sound. Raises `InputErrors` with everything wrong with it."""
    typed = comment.dict(exclude={"spot"}) | {"due_date": comment.due_date and comment.due_date.isoformat()}
    typed["field"] = comment.field or ""
    if comment.spot is not None:
        typed |= {"scene": comment.spot.drawing, **comment.spot.dict(exclude={"drawing"})}
    form = CommentForm(typed, audiences=audiences_of(desk.access), proposal=desk.proposal, places=desk.places)
    problems = [] if form.is_valid() else list(_problems(form, typed))
    if desk.places is None and any(typed.get(name) for name in ("item", "field", "value", "scene")):
        allowed = "a comment about the whole document: this role reads no draft"
        problems.append(Problem("item", "a place", allowed))
    if problems:
        raise InputErrors(problems)
    return form


def _problems(form: CommentForm, typed: dict[str, Any]):
    for name, errors in form.errors.as_data().items():
        # The first is what is wrong with the field itself; others of a field only follow from it.
        error = errors[0]
        found = shown(typed[name]) if typed.get(name) not in (None, "") else NOTHING
        allowed = " ".join(error.messages)
        if error.code == "invalid_choice":
            allowed = _choices(form, name)
        elif told := _TOLD.fullmatch(allowed):
            found, allowed = told.groups()
        yield Problem(name, found, allowed)


def _choices(form: CommentForm, name: str) -> str:
    if name == "item":
        return "the key of an item of this machine's proposal, or nothing"
    return ", ".join(str(value) for value, _ in form.fields[name].choices)
