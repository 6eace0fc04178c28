"""Questions to maker, owner, purchaser and supplier: sent out as a sheet, read when it comes back."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core import display as display_choice
from specapp.core.downloads import attachment
from specapp.core.form_problems import add_problems, sentence
from specapp.core.list_files import list_file, safe_name
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.documents import ask_sheet, ask_workbook
from specapp.documents.asking import ASKED
from specapp.documents.registry import PDF, XLSX
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_ground, machine_proposal
from specapp.projects.errors import StaleVersion
from specapp.projects.models import Machine
from specapp.projects.presenting.changes import what_if
from specapp.projects.presenting.header import machine_context
from specapp.projects.views.documents import document_options
from specapp.projects.views.unreadable import shows_problems
from specapp.references.answers import Answers, SheetSource, answers_adopt, answers_of
from specapp.references.errors import NothingChosen, NumberTaken
from specapp.references.files import LARGEST_BYTES, kept_file
from specapp.references.forms import ReturnedForm
from specapp.references.models import Attachment, DocumentKind, DocumentRevision, ReferenceDocument
from specapp.references.presenting.questions import question_groups
from specapp.references.returned_sheet import ReturnedSheet, read_returned
from specapp.references.services import document_register, document_revise, file_attach

FILES = {"pdf": (ask_sheet.render_for, PDF), "xlsx": (ask_workbook.render_for, XLSX)}
EVERYBODY = "everybody"
SHOW, ADOPT = "show", "adopt"


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def question_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """What is open, by whom to ask; posted, a filled sheet is received."""
    right = Right.EDIT_MACHINE if request.method == "POST" else Right.READ_DRAFT
    access, machine = machine_or_404(request, project_id, machine_id, right)
    form = ReturnedForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            row = _received(request, access, machine, form)
        except InputErrors as errors:
            add_problems(form, [_at_file(problem) for problem in errors.problems])
        except NumberTaken:
            form.add_error(
                "document", "The register has a document of this number that is no sheet of answers."
            )
        else:
            return redirect("references:answer-list", access.project.pk, machine.pk, row.pk)
    proposal = machine_proposal(machine)
    groups = question_groups(proposal)
    if file := list_file(request, machine.tag, {group.ask: group.table.schedule for group in groups}):
        return file
    context: dict[str, Any] = machine_context(access, machine, proposal, display_choice.AS_SET)
    context |= {
        "groups": groups,
        "form": form,
        "received": Attachment.objects.filter(
            revision__document__machine=machine, revision__document__kind=DocumentKind.ANSWERS
        ).select_related("revision__document"),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "references/questions.html", context, status=status)


def _at_file(problem: Problem) -> Problem:
    path = problem.path if problem.path in ReturnedForm.base_fields else "file"
    path = "file" if problem.path == "document" and problem.found.startswith("a ") else path
    return Problem(path, problem.found, problem.allowed, message=problem.message)


@transaction.atomic
def _received(request: HttpRequest, access: Access, machine: Machine, form: ReturnedForm) -> Attachment:
    """Put a returned sheet into the register, with its file."""
    told = form.cleaned_data
    kept = kept_file(told["file"].name, told["file"].read(LARGEST_BYTES + 1))
    sheet = read_returned(kept.content)
    if sheet.machine != machine.tag:
        allowed = f"the questions of {machine.tag}"
        raise InputErrors([Problem("file", f"questions of {shown(sheet.machine)}", allowed)])
    parts = {
        "document": told["document"] or sheet.document,
        "revision": told["revision"] or sheet.revision,
        "person": told["person"] or sheet.person,
        "dated": told["dated"] or sheet.dated,
    }
    missing = [
        Problem(name, NOTHING, "told here or in the head of the sheet")
        for name, part in parts.items()
        if not part
    ]
    if missing:
        raise InputErrors(missing)
    if parts["dated"] > timezone.localdate():
        raise InputErrors([Problem("dated", parts["dated"].isoformat(), "a date up to today")])
    document = ReferenceDocument.objects.filter(
        project=access.project, machine=machine, number__iexact=parts["document"], kind=DocumentKind.ANSWERS
    ).first() or document_register(
        project=access.project,
        machine=machine,
        number=parts["document"],
        title=f"Questions on {machine.tag}, answered",
        kind=DocumentKind.ANSWERS,
        author=request.user,
        now=timezone.now(),
    )
    revision = document.revisions.filter(revision__iexact=parts["revision"]).first() or document_revise(
        document=document,
        revision=parts["revision"],
        dated=parts["dated"],
        received_on=timezone.localdate(),
        received_by=request.user.get_full_name()[:120],
        received_from=parts["person"],
        author=request.user,
        now=timezone.now(),
    )
    return file_attach(revision=revision, kept=kept, author=request.user, now=timezone.now())


@require_safe
@shows_problems
def question_file(
    request: HttpRequest, project_id: int, machine_id: int, ask: str, kind: str
) -> HttpResponse:
    """The questions to one of those asked, or to everybody, as a sheet or as a workbook to fill in."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    if kind not in FILES or ask not in (EVERYBODY, *ASKED):
        raise Http404
    render_for, media_type = FILES[kind]
    options = document_options(access.project, request)
    content = render_for(machine_proposal(machine), options, "" if ask == EVERYBODY else ask)
    name = f"{safe_name(machine.tag)}_questions_{ask}.{kind}"
    return attachment(content, media_type, name)


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def answer_list(request: HttpRequest, project_id: int, machine_id: int, attachment_id: int) -> HttpResponse:
    """The answers of a received sheet with what they would change; posted, chosen ones are taken over."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    row = _answers_or_404(access, machine, attachment_id)
    chosen = request.POST.getlist("take") if request.method == "POST" else None
    try:
        with row.file.open("rb") as file:
            sheet = read_returned(file.read(LARGEST_BYTES))
    except FileNotFoundError:
        raise Http404 from None
    proposal, ground = machine_proposal(machine), machine_ground(machine)
    source = _source(row.revision)
    answers = answers_of(sheet, source, machine, proposal, ground, chosen)
    status, told = 200, ""
    if request.method == "POST" and request.POST.get("do") == ADOPT:
        version = version_in(request.POST)
        try:
            count = answers_adopt(
                machine=machine,
                expected_version=version,
                answers=answers,
                source=source,
                author=request.user,
                now=timezone.now(),
            )
        except NothingChosen:
            status, told = 422, "Tick the answers to take over."
        except StaleVersion as stale:
            machine = stale.machine
            status, told = (
                409,
                f"{machine.updated_by} saved this machine meanwhile; look at the changes again.",
            )
            proposal, ground = machine_proposal(machine), machine_ground(machine)
            answers = answers_of(sheet, source, machine, proposal, ground, chosen)
        except InputErrors as errors:
            status, told = 422, "; ".join(problem.line() for problem in errors.problems)
        else:
            messages.success(
                request, f"{count} answer{'' if count == 1 else 's'} taken over from {row.revision}."
            )
            return redirect("projects:machine-show", access.project.pk, machine.pk)
    elif request.method == "POST" and not answers.chosen:
        status, told = 422, "Tick the answers whose changes are to be shown."
    context: dict[str, Any] = machine_context(access, machine, proposal, display_choice.AS_SET)
    context |= _shown(sheet, answers, proposal, row) | {"told": told}
    return render(request, "references/answers.html", context, status=status)


def _shown(sheet: ReturnedSheet, answers: Answers, proposal: Any, row: Attachment) -> dict[str, Any]:
    has_facts = answers.after is not None and any(
        line.name and line.key in answers.chosen for line in answers.lines
    )
    return {
        "attachment": row,
        "answers": answers,
        "cells": [(problem.path, sentence(problem)) for problem in sheet.problems],
        "changes": what_if(proposal, answers.after, None) if has_facts else None,
    }


def _answers_or_404(access: Access, machine: Machine, attachment_id: int) -> Attachment:
    row = (
        Attachment.objects.filter(
            revision__document__project=access.project,
            revision__document__machine=machine,
            revision__document__kind=DocumentKind.ANSWERS,
            pk=attachment_id,
        )
        .select_related("revision__document")
        .first()
    )
    if row is None:
        raise Http404
    return row


def _source(revision: DocumentRevision) -> SheetSource:
    return SheetSource(
        document=revision.document.number,
        revision=revision.revision,
        person=revision.received_from or revision.received_by,
        dated=revision.dated or revision.received_on,
    )
