"""The revisions of a machine, one of them, and the way from working to candidate."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.documents.fonts import glyph_name, missing_glyphs
from specapp.documents.front import standing_line
from specapp.projects.access import Access, machine_or_404
from specapp.projects.errors import StaleVersion
from specapp.projects.models import Machine
from specapp.projects.views.unreadable import shows_problems
from specapp.revisions.access import SIGNING_RIGHTS, revision_or_404
from specapp.revisions.content import bytes_of, content_of
from specapp.revisions.errors import Refused
from specapp.revisions.forms import CancelForm
from specapp.revisions.gate import gate_lines
from specapp.revisions.models import Part, Purpose, Revision, State
from specapp.revisions.presenting.listed import revisions_schedule
from specapp.revisions.selectors import machine_revisions, replaced_by, signatures_of
from specapp.revisions.services.freezing import (
    has_moved,
    revision_cancel,
    revision_freeze,
    revision_refreeze,
)
from specapp.revisions.services.holds import holds_in_force
from specapp.revisions.services.issuing import missing_signatures
from specapp.revisions.services.numbering import asked_of, purpose_words

_MOST_GLYPHS = 12


@require_safe
def revision_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    return _list_page(request, access, machine)


def _list_page(
    request: HttpRequest, access: Access, machine: Machine, problem: str = "", status: int = 200
) -> HttpResponse:
    revisions = machine_revisions(machine)
    rows = [(row, replaced_by(row)) for row in revisions]
    if file := list_file(request, machine.tag, {"revisions": revisions_schedule(rows)}):
        return file
    asks = asked_of(access.project)
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "revisions": rows,
        "candidate": next((row for row in revisions if row.state == State.CANDIDATE), None),
        "purposes": [(purpose, Purpose(purpose).label, asks[purpose]) for purpose in Purpose.values],
        "chosen": request.POST.get("purpose", ""),
        "problem": problem,
    }
    return render(request, "revisions/revisions.html", context, status=status)


@require_POST
@shows_problems
def revision_freeze_now(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    purpose = request.POST.get("purpose", "")
    if purpose not in Purpose.values:
        return _list_page(request, access, machine, "Choose what the revision is for.", 422)
    try:
        revision = revision_freeze(
            machine=machine,
            expected_version=version_in(request.POST),
            purpose=purpose,
            author=request.user,
            now=timezone.now(),
        )
    except StaleVersion as stale:
        text = f"Nothing was frozen: {stale.machine.updated_by} changed this machine meanwhile. Look again."
        return _list_page(request, access, stale.machine, text, 409)
    except Refused as refused:
        return _list_page(request, access, machine, refused.text, 409)
    messages.success(request, f"Revision {revision.label} is frozen for {revision.get_purpose_display()}.")
    return redirect("revisions:revision-show", access.project.pk, machine.pk, revision.pk)


@require_safe
def revision_show(request: HttpRequest, project_id: int, machine_id: int, revision_id: int) -> HttpResponse:
    access, _, revision = revision_or_404(request, project_id, machine_id, revision_id, Right.READ_DRAFT)
    return _page(request, access, revision, CancelForm())


def _page(
    request: HttpRequest,
    access: Access,
    revision: Revision,
    form: CancelForm,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    proposal = content_of(revision.checksum).proposal
    asks = asked_of(access.project)[revision.purpose]
    signed, void = signatures_of(revision)
    is_candidate = revision.state == State.CANDIDATE
    lines = gate_lines(proposal, holds_in_force(revision.machine)) if is_candidate else []
    context = {
        "access": access,
        "project": access.project,
        "machine": revision.machine,
        "revision": revision,
        "by": replaced_by(revision),
        "verdict": proposal.verdict,
        "standing": standing_line(proposal, _standing(revision)),
        "signed": signed,
        "void": void,
        "missing": missing_signatures(revision) if is_candidate else [],
        "signing": _signing(access, asks.parts, {row.part for row in signed}) if is_candidate else [],
        "has_moved": is_candidate and has_moved(revision),
        "is_candidate": is_candidate,
        "is_gated": asks.is_gated,
        "unsettled": sum(line.hold is None for line in lines),
        "on_hold": sum(line.hold is not None for line in lines),
        "glyphs": _glyphs(revision) if is_candidate else "",
        "documents": list(revision.documents.select_related("issue").defer("file__content")),
        "may_issue": access.may(Right.ISSUE),
        "form": form,
        "problem": problem,
        "to_confirm": proposal.verdict.values_to_confirm,
    }
    return render(request, "revisions/revision.html", context, status=status)


def _standing(revision: Revision) -> str:
    if revision.state == State.ISSUED:
        return purpose_words(revision.purpose)
    return f"{revision.get_state_display()}, not issued"


def _signing(access: Access, parts: tuple[str, ...], given: set[str]) -> list[tuple[str, str]]:
    """Return the signature that is next in turn, if the person's role may give it."""
    waiting = next((part for part in parts if part not in given), None)
    if waiting is None or not access.may(SIGNING_RIGHTS[Part(waiting)]):
        return []
    return [(waiting, Part(waiting).label)]


def _glyphs(revision: Revision) -> str:
    """Return the characters of a candidate that its documents cannot print."""
    missing = missing_glyphs(bytes_of(revision.checksum).decode())
    named = ", ".join(glyph_name(each) for each in missing[:_MOST_GLYPHS])
    more = len(missing) - _MOST_GLYPHS
    return f"{named} and {more} more" if more > 0 else named


@require_POST
@shows_problems
def revision_refreeze_now(
    request: HttpRequest, project_id: int, machine_id: int, revision_id: int
) -> HttpResponse:
    access, _, revision = revision_or_404(request, project_id, machine_id, revision_id, Right.EDIT_MACHINE)
    try:
        revision_refreeze(
            revision=revision,
            expected_version=version_in(request.POST),
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        revision.refresh_from_db()
        return _page(request, access, revision, CancelForm(), refused.text, 409)
    messages.success(request, "Frozen again. Signatures over the former content are void.")
    return redirect("revisions:revision-show", project_id, machine_id, revision_id)


@require_POST
def revision_cancel_now(
    request: HttpRequest, project_id: int, machine_id: int, revision_id: int
) -> HttpResponse:
    access, _, revision = revision_or_404(request, project_id, machine_id, revision_id, Right.EDIT_MACHINE)
    form = CancelForm(request.POST)
    if not form.is_valid():
        return _page(request, access, revision, form, status=422)
    try:
        revision_cancel(
            revision=revision,
            expected_version=version_in(request.POST),
            reason=form.cleaned_data["reason"],
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        revision.refresh_from_db()
        return _page(request, access, revision, form, refused.text, 409)
    messages.success(request, f"Revision {revision.label} is cancelled. Its number is not used again.")
    return redirect("revisions:revision-list", project_id, machine_id)
