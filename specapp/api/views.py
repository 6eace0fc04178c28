"""The pages of tokens, and the interface described for people."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from specapp.api.description import operations
from specapp.api.forms import TokenForm
from specapp.api.interface import ROOT, interface
from specapp.api.models import ApiToken
from specapp.api.tokens import has_ended, token_create, token_withdraw, tokens_shown
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors
from specapp.projects.access import Access, project_or_404


@require_safe
def interface_show(request: HttpRequest) -> HttpResponse:
    schema = interface.get_openapi_schema()
    context = {
        "about": schema["info"]["description"],
        "groups": operations(schema),
        "base": request.build_absolute_uri(f"/{ROOT}"),
    }
    return render(request, "api/interface.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def token_list(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_COMMENTS)
    if request.method != "POST":
        return _page(request, access, TokenForm())
    form = TokenForm(request.POST)
    if not form.is_valid():
        return _page(request, access, form, status=422)
    try:
        token, secret = token_create(
            project=access.project, **form.cleaned_data, author=request.user, now=timezone.now()
        )
    except InputErrors as errors:
        form.add_error(None, " ".join(problem.line() for problem in errors.problems))
        return _page(request, access, form, status=422)
    except ValidationError as error:
        form.add_error("name", error.messages)
        return _page(request, access, form, status=422)
    # Shown in the answer itself and not after a redirect: it is kept nowhere, not even in the session.
    response = _page(request, access, TokenForm(), made=token, secret=secret)
    response.headers["Cache-Control"] = "no-store"
    return response


@require_POST
def token_withdrawn(request: HttpRequest, project_id: int, token_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_COMMENTS)
    token = ApiToken.objects.filter(project=access.project, pk=token_id).first()
    if token is None:
        raise Http404
    if token.person_id != request.user.pk and not access.may_manage:
        raise PermissionDenied("A token is withdrawn by its person, or by an owner of the project.")
    token_withdraw(token=token, author=request.user, now=timezone.now())
    messages.success(request, f"The token {token.name} is withdrawn: it opens nothing from now on.")
    return redirect("api:token-list", project_id)


def _page(
    request: HttpRequest,
    access: Access,
    form: TokenForm,
    status: int = 200,
    made: ApiToken | None = None,
    secret: str = "",
) -> HttpResponse:
    now = timezone.now()
    rows = tokens_shown(access, request.user)
    context = {
        "access": access,
        "project": access.project,
        "form": form,
        "in_use": [row for row in rows if row.withdrawn_at is None and not has_ended(row, now)],
        "over": [row for row in rows if row.withdrawn_at is not None or has_ended(row, now)],
        "made": made,
        "secret": secret,
        "base": request.build_absolute_uri(f"/{ROOT}"),
    }
    return render(request, "api/tokens.html", context, status=status)
