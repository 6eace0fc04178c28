"""What a service found wrong, put beside the fields of a form."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from django.forms import Form

from specapp.domain.problems import Problem

_SAME: Mapping[str, str] = MappingProxyType({})


def sentence(problem: Problem) -> str:
    """Return a problem without its place: what was found, what is allowed."""
    message = f" {problem.message[0].upper()}{problem.message[1:]}." if problem.message else ""
    return f"Found {problem.found}; allowed: {problem.allowed}.{message}"


def add_problems(form: Form, problems: Iterable[Problem], names: Mapping[str, str] = _SAME) -> None:
    """Put each problem at the field of its path, the others above the form with their path.

    `names` are fields that are called otherwise than the path.
    """
    for problem in problems:
        name = names.get(problem.path, problem.path)
        if name in form.fields:
            form.add_error(name, sentence(problem))
        else:
            form.add_error(None, f"{problem.path}: {sentence(problem)}")
