"""A list of machines comes in: brought, previewed with every problem, then taken over or dropped."""

from functools import cache
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.roles import Right
from specapp.core.whole_numbers import whole_number
from specapp.documents.registry import XLSX
from specapp.domain.machine import MOST_PINIONS
from specapp.domain.machine_columns import columns
from specapp.domain.machine_workbook import LARGEST_BYTES
from specapp.domain.problems import InputErrors, Problem
from specapp.lists.errors import NothingChosen, TagsTaken
from specapp.lists.exporting import template_workbook
from specapp.lists.models import StagedSheet
from specapp.lists.preview import Preview, preview
from specapp.lists.selectors import staged_sheet
from specapp.lists.services import machines_import, meanings_set, place_set, sheet_drop, sheet_stage
from specapp.lists.sheets import (
    LEFT_OUT,
    MOST_MACHINES,
    BroughtSheet,
    Heading,
    first_rows,
    head_place,
    headings,
    sheets_of_file,
    sheets_of_text,
    unknown_meanings,
)
from specapp.projects.access import Access, project_or_404
from specapp.projects.deciding.ground import project_ground
from specapp.rulebook.fact_names import fact_words

_SHOWN_PROBLEMS = 500
_PINIONS = [f"P{number}" for number in range(1, MOST_PINIONS + 1)]


@require_http_methods(["GET", "HEAD", "POST"])
def sheet_bring(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    if request.method != "POST":
        return _bring_page(request, access, [])
    try:
        name, sheets = _brought(request)
    except InputErrors as errors:
        return _bring_page(request, access, errors.problems, status=422)
    sheet_stage(project=access.project, name=name, sheets=sheets, author=request.user, now=timezone.now())
    return redirect("lists:sheet-preview", access.project.pk)


def _bring_page(request: HttpRequest, access: Access, problems: Any, status: int = 200) -> HttpResponse:
    context = {
        "access": access,
        "project": access.project,
        "problems": problems,
        "pasted": request.POST.get("pasted", ""),
        "most_machines": MOST_MACHINES,
    }
    return render(request, "lists/bring.html", context, status=status)


def _brought(request: HttpRequest) -> tuple[str, list[BroughtSheet]]:
    file, pasted = request.FILES.get("file"), request.POST.get("pasted", "")
    if file is not None and pasted.strip():
        raise InputErrors([Problem("file", "a file and pasted cells", "one of the two")])
    if file is not None:
        if file.size > LARGEST_BYTES:
            allowed = f"a file of at most {LARGEST_BYTES} bytes"
            raise InputErrors([Problem("file", f"{file.size} bytes", allowed)])
        return file.name, sheets_of_file(file.name, file.read())
    if pasted.strip():
        return "pasted cells", sheets_of_text(pasted)
    raise InputErrors([Problem("file", "nothing", "a file, or cells pasted from a spreadsheet")])


@require_http_methods(["GET", "HEAD", "POST"])
def sheet_preview(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    staged = staged_sheet(access.project, request.user)
    if staged is None:
        messages.info(request, "There is no list to preview: bring one first.")
        return redirect("lists:sheet-bring", access.project.pk)
    action = request.POST.get("do", "")
    if action == "drop":
        sheet_drop(staged=staged)
        messages.success(request, "The list is dropped; nothing was taken over.")
        return redirect("projects:project-show", access.project.pk)
    if action == "place":
        try:
            place_set(staged=staged, sheet=_place(request, "sheet"), head_row=_place(request, "head_row"))
        except InputErrors as errors:
            return _preview_page(request, access, staged, wrong=errors.problems, status=422)
        return redirect("lists:sheet-preview", access.project.pk)
    if action == "mean":
        heads = _heads(staged)
        chosen = {item.key: request.POST.get(f"means:{item.key}", "") for item in heads if not item.is_path}
        wrong = unknown_meanings(chosen, heads)
        if wrong:
            return _preview_page(request, access, staged, wrong=wrong, status=422)
        meanings_set(staged=staged, meanings=chosen)
        return redirect("lists:sheet-preview", access.project.pk)
    if action == "take":
        return _take(request, access, staged)
    return _preview_page(request, access, staged, status=422 if request.method == "POST" else 200)


def _place(request: HttpRequest, name: str) -> int:
    """Return a number of the form, 0 for none and -1 for what is no number."""
    text = request.POST.get(name, "").strip()
    return whole_number(text, -1, digits=5) if text else 0


def _heads(staged: StagedSheet) -> list[Heading]:
    return headings(staged.grid, staged.meanings, staged.head_row)


def _preview(access: Access, staged: StagedSheet) -> Preview:
    tags = access.project.machines.values_list("tag", flat=True)
    ground = project_ground(access.project.pk)
    return preview(staged.grid, staged.meanings, tags, ground, staged.head_row)


def _take(request: HttpRequest, access: Access, staged: StagedSheet) -> HttpResponse:
    """Take over the rows that were ticked."""
    rows = set(request.POST.getlist("row"))
    chosen = [item for item in _preview(access, staged).machines if str(item.number) in rows]
    try:
        added = machines_import(staged=staged, machines=chosen, author=request.user, now=timezone.now())
    except NothingChosen:
        told = "Tick at least one machine without problems."
    except TagsTaken as taken:
        told = f"Nothing was taken over: the project has a machine {taken} by now."
    else:
        count = f"{len(added)} machine{'' if len(added) == 1 else 's'}"
        messages.success(request, f"{count} taken over. Each proposal is worked out when it is opened.")
        return redirect("projects:project-show", access.project.pk)
    return _preview_page(request, access, staged, told=told, status=422)


def _preview_page(
    request: HttpRequest,
    access: Access,
    staged: StagedSheet,
    *,
    status: int = 200,
    wrong: Any = (),
    told: str = "",
) -> HttpResponse:
    found = _preview(access, staged)
    heads = _heads(staged)
    context = {
        "access": access,
        "project": access.project,
        "staged": staged,
        "chosen": staged.sheets[staged.sheet],
        "head_row": head_place(staged.grid, staged.meanings, staged.head_row) + 1,
        "first_rows": first_rows(staged.grid),
        "has_own_headings": any(not item.path for item in heads),
        "found": found,
        "lines": found.lines[:_SHOWN_PROBLEMS],
        "left": max(0, len(found.lines) - _SHOWN_PROBLEMS),
        "mapped": [item for item in heads if not item.is_path],
        "fields": _fields(),
        "left_out": LEFT_OUT,
        "wrong": wrong,
        "told": told,
    }
    return render(request, "lists/preview.html", context, status=status)


@cache
def _fields() -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the fields a column may be, (path, words), under what they belong to."""
    groups: dict[str, list[tuple[str, str]]] = {}
    of_pinions = {f"pinions[{index}]": name for index, name in enumerate(_PINIONS)}
    for path in columns():
        owner = path.rpartition(".")[0]
        title = of_pinions.get(owner) or fact_words(owner or "machine", _PINIONS).removeprefix("the ")
        groups.setdefault(title, []).append((path, fact_words(path, _PINIONS).removeprefix("the ")))
    return list(groups.items())


@require_safe
def sheet_template(request: HttpRequest, project_id: int) -> HttpResponse:
    project_or_404(request, project_id, Right.EDIT_MACHINE)
    response = HttpResponse(template_workbook(), content_type=XLSX)
    response.headers["Content-Disposition"] = 'attachment; filename="machines_template.xlsx"'
    return response
