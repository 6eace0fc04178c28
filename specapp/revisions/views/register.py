"""The register of documents: the owner's numbers, what is current, what went before; its archive."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.downloads import ZIP, attachment
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.projects.access import Access, project_or_404
from specapp.revisions.errors import Refused, Stale
from specapp.revisions.forms import RegisterForm
from specapp.revisions.models import RegisterEntry
from specapp.revisions.presenting.listed import register_schedule
from specapp.revisions.selectors import register
from specapp.revisions.services.numbering import DOCUMENT_TITLES, register_number
from specapp.revisions.services.packing import packed_register


@require_safe
def register_list(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    machines = register(access.project)
    lists = {"register_of_documents": register_schedule(machines)}
    if file := list_file(request, access.project.file_name, lists):
        return file
    context = {"access": access, "project": access.project, "machines": machines}
    return render(request, "revisions/register.html", context)


@require_safe
def register_package(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    name, content = packed_register(project=access.project, author=request.user, now=timezone.now())
    return attachment(content, ZIP, name)


@require_http_methods(["GET", "HEAD", "POST"])
def register_edit(request: HttpRequest, project_id: int, entry_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    entry = (
        RegisterEntry.objects.select_related("machine").filter(project=access.project, pk=entry_id).first()
    )
    if entry is None:
        raise Http404
    stored = {"number": entry.number, "title": entry.title}
    if request.method != "POST":
        return _page(request, access, entry, RegisterForm(initial=stored))
    form = RegisterForm(request.POST)
    if not form.is_valid():
        return _page(request, access, entry, form, status=422)
    try:
        register_number(
            entry=entry,
            expected_version=version_in(request.POST),
            author=request.user,
            now=timezone.now(),
            **form.cleaned_data,
        )
    except Stale as stale:
        entry.refresh_from_db()
        return _page(request, access, entry, form, f"{stale.text} Stored: {entry.number} {entry.title}", 409)
    except Refused as refused:
        form.add_error("number", refused.text)
        return _page(request, access, entry, form, status=422)
    messages.success(request, "Saved. It holds from the next issue on.")
    return redirect("revisions:register-list", project_id)


def _page(
    request: HttpRequest,
    access: Access,
    entry: RegisterEntry,
    form: RegisterForm,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "access": access,
        "project": access.project,
        "entry": entry,
        "title": DOCUMENT_TITLES.get(entry.key, entry.key),
        "form": form,
        "problem": problem,
    }
    return render(request, "revisions/register_entry.html", context, status=status)
