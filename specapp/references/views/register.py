"""The register of reference documents: looked at, added to, revised, its files taken down."""

from collections.abc import Mapping

from django.contrib import messages
from django.db import transaction
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.form_problems import add_problems
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in, whole_number
from specapp.domain.problems import InputErrors
from specapp.projects.access import Access, project_or_404
from specapp.projects.errors import StaleVersion
from specapp.projects.models import Machine
from specapp.references.errors import NothingChosen, NumberTaken, RevisionTaken
from specapp.references.files import LARGEST_BYTES, kept_file
from specapp.references.forms import DocumentForm, FileForm, RevisionForm
from specapp.references.models import Attachment, DocumentRevision, ReferenceDocument
from specapp.references.presenting.register import register_table
from specapp.references.resting import resting_carry, resting_on_earlier
from specapp.references.selectors import register_of
from specapp.references.services import document_register, document_revise, file_attach


@require_safe
def document_list(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    text = request.GET.get("q", "")
    lines = register_of(access.project, text=text)
    table = register_table(lines, access.project.pk)
    if file := list_file(request, access.project.file_name, {"reference_documents": table.schedule}):
        return file
    context = {
        "access": access,
        "project": access.project,
        "lines": lines,
        "table": table,
        "text": text,
    }
    return render(request, "references/register.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def document_new(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    form = DocumentForm(
        request.POST or None, request.FILES or None, project=access.project, initial=_today(request)
    )
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        try:
            with transaction.atomic():
                document = document_register(
                    project=access.project,
                    machine=told["machine"],
                    number=told["number"],
                    title=told["title"],
                    kind=told["kind"],
                    author=request.user,
                    now=timezone.now(),
                )
                _revise(request, document, told)
        except NumberTaken:
            form.add_error("number", "The register has a document of this number: add a revision to it.")
        except InputErrors as errors:
            add_problems(form, errors.problems)
        else:
            messages.success(request, f"{document} is in the register.")
            return redirect("references:document-show", access.project.pk, document.pk)
    status = 422 if request.method == "POST" else 200
    context = {"access": access, "project": access.project, "form": form}
    return render(request, "references/document_new.html", context, status=status)


def _today(request: HttpRequest) -> dict[str, object]:
    return {"received_on": timezone.localdate(), "received_by": request.user.get_full_name()}


def _revise(
    request: HttpRequest, document: ReferenceDocument, told: Mapping[str, object]
) -> DocumentRevision:
    """Record a revision, and its file where one came with it."""
    kept = None
    if told["file"] is not None:
        kept = kept_file(told["file"].name, told["file"].read(LARGEST_BYTES + 1))
    revision = document_revise(
        document=document,
        revision=told["revision"],
        dated=told["dated"],
        received_on=told["received_on"],
        received_by=told["received_by"],
        received_from=told["received_from"],
        author=request.user,
        now=timezone.now(),
    )
    if kept is not None:
        file_attach(revision=revision, kept=kept, author=request.user, now=timezone.now())
    return revision


def _document_or_404(access: Access, document_id: int) -> ReferenceDocument:
    rows = ReferenceDocument.objects.select_related("machine", "entered_by")
    document = rows.filter(project=access.project, pk=document_id).first()
    if document is None:
        raise Http404
    return document


@require_http_methods(["GET", "HEAD", "POST"])
def document_show(request: HttpRequest, project_id: int, document_id: int) -> HttpResponse:
    """A document with its revisions, and what rests on an earlier one; posted, a new revision."""
    right = Right.EDIT_MACHINE if request.method == "POST" else Right.READ_DRAFT
    access = project_or_404(request, project_id, right)
    document = _document_or_404(access, document_id)
    if request.method != "POST":
        return _document_page(request, access, document, RevisionForm(initial=_today(request)))
    form = RevisionForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            with transaction.atomic():
                revision = _revise(request, document, form.cleaned_data)
        except RevisionTaken:
            form.add_error("revision", "This document has this revision.")
        except InputErrors as errors:
            add_problems(form, errors.problems)
        else:
            messages.success(request, f"{revision} is in the register.")
            return redirect("references:document-show", access.project.pk, document.pk)
    return _document_page(request, access, document, form, status=422)


def _document_page(
    request: HttpRequest,
    access: Access,
    document: ReferenceDocument,
    form: RevisionForm,
    *,
    status: int = 200,
    **more: object,
) -> HttpResponse:
    revisions = list(
        document.revisions.order_by("-pk").select_related("entered_by").prefetch_related("attachments")
    )
    resting = resting_on_earlier(document, revisions[0]) if revisions else []
    versions = Machine.objects.filter(pk__in={each.machine_id for each in resting})
    context = {
        "access": access,
        "project": access.project,
        "document": document,
        "revisions": revisions,
        "current": revisions[0] if revisions else None,
        "resting": resting,
        "versions": versions.values_list("pk", "version"),
        "form": form,
        "file_form": FileForm(),
        **more,
    }
    return render(request, "references/document.html", context, status=status)


@require_http_methods(["POST"])
def file_add(request: HttpRequest, project_id: int, document_id: int) -> HttpResponse:
    """One more file of the revision that counts."""
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    document = _document_or_404(access, document_id)
    current = document.revisions.last()
    form = FileForm(request.POST, request.FILES)
    if current is None:
        raise Http404
    if form.is_valid():
        file = form.cleaned_data["file"]
        try:
            kept = kept_file(file.name, file.read(LARGEST_BYTES + 1))
        except InputErrors as errors:
            add_problems(form, errors.problems)
        else:
            row = file_attach(revision=current, kept=kept, author=request.user, now=timezone.now())
            messages.success(request, f"{row.name} is kept with {current}.")
            return redirect("references:document-show", access.project.pk, document.pk)
    empty = RevisionForm(initial=_today(request))
    return _document_page(request, access, document, empty, status=422, file_form=form)


@require_http_methods(["POST"])
def document_carry(request: HttpRequest, project_id: int, document_id: int) -> HttpResponse:
    """Chosen values stand alike in the revision that counts."""
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    document = _document_or_404(access, document_id)
    current = document.revisions.last()
    if current is None:
        raise Http404
    versions = {
        machine: version_in(request.POST, name)
        for name in request.POST
        if name.startswith("version-") and (machine := whole_number(name.removeprefix("version-"), digits=18))
    }
    status, told = 200, ""
    try:
        count = resting_carry(
            document=document,
            current=current,
            chosen=set(request.POST.getlist("rests")),
            versions=versions,
            author=request.user,
            now=timezone.now(),
        )
    except NothingChosen:
        status, told = 422, "Tick the values that stand alike in the new revision."
    except StaleVersion as stale:
        status, told = 409, f"{stale.machine.updated_by} changed {stale.machine} meanwhile: look again."
    except InputErrors as errors:
        status, told = 422, "; ".join(problem.line() for problem in errors.problems)
    if status == 200:
        messages.success(request, f"{count} value{'' if count == 1 else 's'} now rest on {current}.")
        return redirect("references:document-show", access.project.pk, document.pk)
    form = RevisionForm(initial=_today(request))
    return _document_page(request, access, document, form, status=status, not_carried=told)


@require_safe
def file_show(request: HttpRequest, project_id: int, attachment_id: int) -> HttpResponse:
    """A kept file, always as a download under its safe name."""
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    row = Attachment.objects.filter(revision__document__project=access.project, pk=attachment_id).first()
    if row is None:
        raise Http404
    try:
        content = row.file.open("rb")
    except FileNotFoundError:
        raise Http404 from None
    response = FileResponse(content, content_type="application/octet-stream")
    response.headers["Content-Disposition"] = f'attachment; filename="{row.name}"'
    response.headers["Content-Length"] = str(row.size)
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response
