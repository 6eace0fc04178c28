"""How a refusal is told to a program: every problem at once, each with path, found and allowed."""

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse

from specapp.domain.problems import DOCUMENT, InputErrors, Problem, path_text, shown


def problems_answer(status: int, problems: Iterable[Problem]) -> HttpResponse:
    """Return problems as JSON; a name people use and a further explanation come where there is one."""
    told = [
        {
            "path": problem.path,
            "found": problem.found,
            "allowed": problem.allowed,
            **({"name": problem.name} if problem.name else {}),
            **({"message": problem.message} if problem.message else {}),
        }
        for problem in problems
    ]
    return JsonResponse({"problems": told}, status=status)


def one_problem(status: int, path: str, found: str, allowed: str) -> HttpResponse:
    return problems_answer(status, [Problem(path, found, allowed)])


def nothing_here(request: HttpRequest) -> HttpResponse:
    return one_problem(404, "address", "nothing for this token", "the addresses of /api/1/openapi.json")


def wrong_method(request: HttpRequest, allowed: str) -> HttpResponse:
    """Return that an address is not asked for in this way, with the methods that it knows.

    Whatever is read is also asked about by HEAD.
    """
    methods = set(allowed.split(", "))
    allowed = ", ".join(sorted(methods | {"HEAD"} if "GET" in methods else methods))
    answer = one_problem(405, "method", shown(request.method), allowed)
    answer.headers["Allow"] = allowed
    return answer


def body_errors(details: Iterable[Any]) -> InputErrors:
    """Return what a body, a query or an address has wrong, as its types have found it."""
    return InputErrors(_problem(detail) for detail in details)


def _problem(detail: Any) -> Problem:
    place = tuple(detail["loc"])[1:]
    path = path_text(place) if place else DOCUMENT
    kind, facts = detail["type"], detail.get("ctx", {})
    if kind == "missing":
        return Problem(path, "nothing", "a value: it is required")
    return Problem(path, shown(detail["input"]), _allowed(kind, facts, detail["msg"]))


def _allowed(kind: str, facts: Any, message: str) -> str:
    words = {
        "extra_forbidden": "only the fields that this address knows",
        "string_type": "a text",
        "string_unicode": "a text in Unicode",
        "int_type": "a whole number",
        "int_parsing": "a whole number",
        "int_from_float": "a whole number",
        "float_type": "a number",
        "float_parsing": "a number",
        "finite_number": "a finite number",
        "model_type": "an object with fields",
        "model_attributes_type": "an object with fields",
        "dict_type": "an object with fields",
        "date_type": "a date such as 2026-03-31",
        "date_parsing": "a date such as 2026-03-31",
        "date_from_datetime_parsing": "a date such as 2026-03-31",
        "date_from_datetime_inexact": "a date such as 2026-03-31",
    }
    if kind in words:
        return words[kind]
    if kind == "value_error":
        return str(facts["error"])
    if kind in ("literal_error", "enum"):
        return str(facts["expected"]).replace("'", "")
    if kind == "string_too_long":
        return f"at most {facts['max_length']} characters"
    if kind == "string_too_short":
        return f"at least {facts['min_length']} characters"
    if kind in ("greater_than_equal", "greater_than"):
        return f"{'more than' if kind == 'greater_than' else 'at least'} {facts.get('ge', facts.get('gt'))}"
    if kind in ("less_than_equal", "less_than"):
        return f"{'less than' if kind == 'less_than' else 'at most'} {facts.get('le', facts.get('lt'))}"
    return message[:1].lower() + message[1:]
