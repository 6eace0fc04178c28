"""The criteria of a project: looked at, set by the owner, confirmed by a reviewer, as a file in and out."""

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from specapp.core.roles import Right
from specapp.criteria.criterion import FROM_MEMORY
from specapp.criteria.loader import load_defaults
from specapp.domain.problems import InputErrors
from specapp.projects.access import Access, project_or_404
from specapp.projects.criteria_forms import ConfirmationForm, CriterionForm
from specapp.projects.deciding.criteria import (
    confirmation_withdraw,
    criterion_confirm,
    criterion_set,
    criterion_withdraw,
)
from specapp.projects.deciding.criteria_file import criteria_toml
from specapp.projects.deciding.ground import criteria_in_force
from specapp.projects.deciding.selectors import confirmations, criterion_history
from specapp.projects.errors import CriterionMoved
from specapp.projects.models import CriterionConfirmation, ProjectCriterion
from specapp.projects.presenting.criteria import criterion_lines


@require_safe
def criteria_file(request: HttpRequest, project_id: int) -> HttpResponse:
    """The project's own values as the file that the command line and other projects read."""
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    content = criteria_toml(criteria_in_force(access.project.pk))
    response = HttpResponse(content, content_type="application/toml")
    response.headers["Content-Disposition"] = 'attachment; filename="criteria.toml"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def criterion_edit(request: HttpRequest, project_id: int, key: str) -> HttpResponse:
    right = Right.SET_CRITERIA if request.method == "POST" else Right.READ_DRAFT
    access = project_or_404(request, project_id, right)
    if key not in load_defaults():
        raise Http404
    if request.method != "POST":
        return _edit_page(request, access, key)
    form = CriterionForm(request.POST, criterion=load_defaults().get(key))
    if not form.is_valid():
        return _edit_page(request, access, key, form, status=422)
    try:
        criterion_set(
            project=access.project,
            key=key,
            value=form.criterion_value(),
            expected_row=form.cleaned_data["row"],
            author=request.user,
            now=timezone.now(),
        )
    except InputErrors as errors:
        _add_problems(form, errors)
        return _edit_page(request, access, key, form, status=422)
    except CriterionMoved:
        return _edit_page(request, access, key, form, status=409)
    messages.success(request, f"{key} is set for every machine of this project.")
    return redirect("projects:criterion-edit", access.project.pk, key)


def _edit_page(
    request: HttpRequest,
    access: Access,
    key: str,
    form: CriterionForm | None = None,
    confirming: ConfirmationForm | None = None,
    status: int = 200,
) -> HttpResponse:
    own = next((row for row in criteria_in_force(access.project.pk) if row.key == key), None)
    given = [row for row in confirmations(access.project.pk) if row.key == key]
    criterion = load_defaults().get(key)
    (line,) = (each for each in criterion_lines([own] if own else [], given) if each.criterion.key == key)
    if form is None:
        form = CriterionForm(criterion=criterion, initial=_initial(own) if own else {})
    elif status == 409:
        form.data = {**form.data.dict(), "row": own.pk if own else ""}
    context = {
        "access": access,
        "project": access.project,
        "line": line,
        "form": form,
        "confirming": confirming or ConfirmationForm(initial={"on": timezone.localdate()}),
        "from_memory": criterion.status == FROM_MEMORY,
        "lapsed": [row for row in given if row.value != criterion.value],
        "history": criterion_history(access.project.pk, key),
        "moved": status == 409,
    }
    return render(request, "projects/criterion.html", context, status=status)


def _initial(own: ProjectCriterion) -> dict[str, object]:
    return {
        "value": f"{own.value:g}",
        "reason": own.reason,
        "source": own.source,
        "dated": own.dated,
        "row": own.pk,
    }


def _add_problems(form: Form, errors: InputErrors) -> None:
    for problem in errors.problems:
        field = problem.path if problem.path in form.fields else None
        name = f" ({problem.name})" if problem.name else ""
        where = "" if field else f"{problem.path}{name}: "
        form.add_error(field, f"{where}Found {problem.found}; allowed: {problem.allowed}.")


@require_POST
def criterion_withdraw_own(request: HttpRequest, project_id: int, key: str) -> HttpResponse:
    access = project_or_404(request, project_id, Right.SET_CRITERIA)
    own = next((row for row in criteria_in_force(access.project.pk) if row.key == key), None)
    if own is None:
        messages.error(request, "The project has no value of its own for this criterion.")
        return redirect("projects:criterion-edit", access.project.pk, key)
    try:
        criterion_withdraw(criterion=own, author=request.user, now=timezone.now())
    except (CriterionMoved, InputErrors) as refused:
        messages.error(request, f"Not withdrawn: {refused or 'it was changed meanwhile'}.")
    else:
        messages.success(request, f"{key}: the default stands again.")
    return redirect("projects:criterion-edit", access.project.pk, key)


@require_POST
def criterion_confirmed(request: HttpRequest, project_id: int, key: str) -> HttpResponse:
    access = project_or_404(request, project_id, Right.CONFIRM_CRITERIA)
    if key not in load_defaults():
        raise Http404
    form = ConfirmationForm(request.POST)
    if form.is_valid():
        try:
            criterion_confirm(
                project=access.project,
                key=key,
                edition=form.cleaned_data["edition"],
                on=form.cleaned_data["on"],
                author=request.user,
                now=timezone.now(),
            )
        except InputErrors as errors:
            _add_problems(form, errors)
        else:
            messages.success(request, f"{key} is confirmed.")
            return redirect("projects:criterion-edit", access.project.pk, key)
    return _edit_page(request, access, key, confirming=form, status=422)


@require_POST
def criterion_unconfirmed(request: HttpRequest, project_id: int, key: str) -> HttpResponse:
    """A reviewer takes back a confirmation of their own."""
    access = project_or_404(request, project_id, Right.CONFIRM_CRITERIA)
    row = CriterionConfirmation.objects.filter(
        project=access.project, key=key, by=request.user, withdrawn_at=None
    ).first()
    if row is not None:
        confirmation_withdraw(confirmation=row, author=request.user, now=timezone.now())
        messages.success(request, f"Your confirmation of {key} is taken back.")
    return redirect("projects:criterion-edit", access.project.pk, key)
