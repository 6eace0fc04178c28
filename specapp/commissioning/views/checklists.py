"""Checklists of a machine: made, filled item by item, signed, printed."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from specapp.commissioning.access import SIGNING_RIGHTS, checklist_or_404, signer_or_403
from specapp.commissioning.errors import Refused, Stale
from specapp.commissioning.forms import EntryForm
from specapp.commissioning.models import Checklist, Part
from specapp.commissioning.presenting.checklists import Line, lines_of, next_open, parts_of
from specapp.commissioning.presenting.links import records_of
from specapp.commissioning.printing import filled_sheets
from specapp.commissioning.services.checklists import (
    cannot_sign,
    checklist_checksum,
    entry_write,
    signature_give,
)
from specapp.core.downloads import attachment
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.documents.registry import PDF
from specapp.projects.access import Access
from specapp.projects.views.documents import document_options
from specapp.revisions.forms import SignForm


def _context(access: Access, row: Checklist) -> dict[str, Any]:
    return {"access": access, "project": access.project, "machine": row.machine, "checklist": row}


@require_safe
def checklist_show(request: HttpRequest, project_id: int, machine_id: int, checklist_id: int) -> HttpResponse:
    access, row = checklist_or_404(request, project_id, machine_id, checklist_id, Right.READ_DRAFT)
    lines = lines_of(row)
    count = row.entries.count()
    signatures = list(row.signatures.all())
    context = _context(access, row) | {
        "parts": list(parts_of(lines)),
        "total": len(lines),
        "done": sum(line.entry is not None for line in lines),
        "fails": [line for line in lines if line.is_fail],
        "next": next_open(lines, 0),
        "signatures": signatures,
        "signed_through": max((each.entry_count for each in signatures), default=0),
        "entry_count": count,
        "may_sign": [(part, part.label) for part, right in SIGNING_RIGHTS.items() if access.may(right)],
    }
    return render(request, "commissioning/checklist.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def item_fill(
    request: HttpRequest, project_id: int, machine_id: int, checklist_id: int, number: int
) -> HttpResponse:
    """One item: what is done, what must come, what came. Saved by itself, then the next open one."""
    right = Right.EDIT_MACHINE if request.method == "POST" else Right.READ_DRAFT
    access, row = checklist_or_404(request, project_id, machine_id, checklist_id, right)
    lines = lines_of(row)
    if not 1 <= number <= len(lines):
        raise Http404
    line = lines[number - 1]
    if request.method != "POST":
        return _item_page(request, access, row, lines, line, EntryForm(item=line.item, standing=line.entry))
    form = EntryForm(request.POST, item=line.item, standing=line.entry)
    if not form.is_valid():
        return _item_page(request, access, row, lines, line, form, status=422)
    try:
        entry_write(row=row, item=line.item, author=request.user, now=timezone.now(), **form.told())
    except Stale as stale:
        # What was typed stays, and the next saving is over the entry that is shown now.
        line = lines_of(row)[number - 1]
        typed = request.POST.copy()
        typed["seen"] = str(line.entry.sequence if line.entry else 0)
        form = EntryForm(typed, item=line.item, standing=line.entry)
        return _item_page(request, access, row, lines, line, form, problem=stale.text, status=409)
    except Refused as refused:
        form.add_error(None, refused.text)
        return _item_page(request, access, row, lines, line, form, status=422)
    lines = lines_of(row)
    messages.success(request, f"Saved: item {number}, {lines[number - 1].state}.")
    following = next_open(lines, number)
    if following is None:
        return redirect("commissioning:checklist-show", project_id, machine_id, checklist_id)
    return redirect("commissioning:item-fill", project_id, machine_id, checklist_id, following.number)


def _item_page(
    request: HttpRequest,
    access: Access,
    row: Checklist,
    lines: list[Line],
    line: Line,
    form: EntryForm,
    *,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    context = _context(access, row) | {
        "line": line,
        "item": line.item,
        "form": form,
        "problem": problem,
        "before": lines[line.number - 2] if line.number > 1 else None,
        "after": lines[line.number] if line.number < len(lines) else None,
        "total": len(lines),
        "done": sum(each.entry is not None for each in lines),
        "history": row.entries.filter(item_key=line.item.key).order_by("-sequence"),
        "is_signed": row.signatures.exists(),
        "records": records_of(row, line.item),
    }
    return render(request, "commissioning/item.html", context, status=status)


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def checklist_sign(
    request: HttpRequest, project_id: int, machine_id: int, checklist_id: int, part: str
) -> HttpResponse:
    access, row = checklist_or_404(request, project_id, machine_id, checklist_id, Right.READ_DRAFT)
    signer_or_403(access, part)
    if request.method != "POST":
        return _sign_page(request, access, row, part, SignForm())
    form = SignForm(request.POST)
    if not form.is_valid():
        return _sign_page(request, access, row, part, form, status=422)
    try:
        signature_give(
            row=row,
            part=part,
            checksum=request.POST.get("checksum", ""),
            person=request.user,
            password=form.cleaned_data["password"],
            now=timezone.now(),
        )
    except Refused as refused:
        status = 409 if isinstance(refused, Stale) else 422
        return _sign_page(request, access, row, part, SignForm(), problem=refused.text, status=status)
    messages.success(request, f"Signed as {Part(part).label}.")
    return redirect("commissioning:checklist-show", project_id, machine_id, checklist_id)


def _sign_page(
    request: HttpRequest,
    access: Access,
    row: Checklist,
    part: str,
    form: SignForm,
    *,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    lines = lines_of(row)
    context = _context(access, row) | {
        "part_word": Part(part).label,
        "form": form,
        "problem": problem,
        "hinders": cannot_sign(row, part, request.user),
        "checksum": checklist_checksum(row, list(row.entries.all())),
        "fails": [line for line in lines if line.is_fail],
        "total": len(lines),
    }
    return render(request, "commissioning/sign.html", context, status=status)


@require_safe
def checklist_file(request: HttpRequest, project_id: int, machine_id: int, checklist_id: int) -> HttpResponse:
    """The filled checklist as PDF."""
    access, row = checklist_or_404(request, project_id, machine_id, checklist_id, Right.READ_DRAFT)
    content = filled_sheets(row, document_options(access.project, request))
    name = f"{safe_name(row.machine.tag)}_{row.stage}_checklist_{row.pk}.pdf"
    return attachment(content, PDF, name)
