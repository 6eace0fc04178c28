"""What a service found wrong, put beside the fields of a form."""

from collections.abc import Iterable

from django.forms import Form

from specapp.domain.problems import Problem


def sentence(problem: Problem) -> str:
    """Return a problem without its place: what was found, what is allowed."""
    message = f" {problem.message[0].upper()}{problem.message[1:]}." if problem.message else ""
    return f"Found {problem.found}; allowed: {problem.allowed}.{message}"


def add_problems(form: Form, problems: Iterable[Problem]) -> None:
    """Put each problem at the field of its path, the others above the form with their path."""
    for problem in problems:
        field = problem.path if problem.path in form.fields else None
        where = "" if field else f"{problem.path}: "
        form.add_error(field, f"{where}{sentence(problem)}")
