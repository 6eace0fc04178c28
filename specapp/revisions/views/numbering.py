"""How a project numbers, and what each purpose asks for."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.projects.access import Access, project_or_404
from specapp.revisions.errors import Stale
from specapp.revisions.forms import AsksForm, NumberingForm
from specapp.revisions.models import Series
from specapp.revisions.numbering import Scheme
from specapp.revisions.services.numbering import asked_of, numbering_of, numbering_set

_SHOWN = 12


@require_http_methods(["GET", "HEAD", "POST"])
def numbering_edit(request: HttpRequest, project_id: int) -> HttpResponse:
    right = Right.MANAGE_PROJECT if request.method == "POST" else Right.READ_DRAFT
    access = project_or_404(request, project_id, right)
    asks = asked_of(access.project)
    if request.method != "POST":
        form = NumberingForm(instance=numbering_of(access.project))
        return _page(request, access, form, [AsksForm(purpose, each) for purpose, each in asks.items()])
    form = NumberingForm(request.POST, instance=numbering_of(access.project))
    forms = [AsksForm(purpose, each, request.POST) for purpose, each in asks.items()]
    if not all([form.is_valid(), *(each.is_valid() for each in forms)]):
        return _page(request, access, form, forms, status=422)
    try:
        numbering_set(
            project=access.project,
            expected_version=version_in(request.POST),
            fields=form.values(),
            asks={each.purpose: each.asks() for each in forms},
            author=request.user,
            now=timezone.now(),
        )
    except Stale as stale:
        return _page(request, access, form, forms, stale.text, 409)
    messages.success(request, "Saved. It holds for what is numbered from now on.")
    return redirect("revisions:numbering-edit", project_id)


def _page(
    request: HttpRequest,
    access: Access,
    form: NumberingForm,
    forms: list[AsksForm],
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    stored = numbering_of(access.project)
    scheme = Scheme.of(stored)
    context = {
        "access": access,
        "project": access.project,
        "form": form,
        "forms": forms,
        "stored": stored,
        "asks": asked_of(access.project),
        "version": stored.version,
        "letters": [scheme.label(Series.LETTERS, n) for n in range(1, _SHOWN)],
        "numbers": [scheme.label(Series.NUMBERS, n) for n in range(1, _SHOWN)],
        "problem": problem,
    }
    return render(request, "revisions/numbering.html", context, status=status)
