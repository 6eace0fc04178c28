"""The installation's people, for whoever looks after it."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.links import link_is_open, link_token
from specapp.core.list_files import list_file
from specapp.core.models import User
from specapp.core.people import (
    LastAdministrator,
    password_link_make,
    person_add,
    person_administer,
    sessions_end,
)
from specapp.core.people_forms import PersonForm
from specapp.core.people_selectors import password_history, people_page
from specapp.core.recording import record_page, record_schedule


def administrator_or_403(request: HttpRequest) -> None:
    if not request.user.is_superuser:
        raise PermissionDenied("Only whoever looks after this installation sees its people.")


@require_safe
def people_list(request: HttpRequest) -> HttpResponse:
    administrator_or_403(request)
    asked = request.GET.get("q", "").strip()[:100]
    context = {"page": people_page(asked, request.GET.get("page", "")), "asked": asked}
    return render(request, "core/people.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def person_new(request: HttpRequest) -> HttpResponse:
    administrator_or_403(request)
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        now = timezone.now()
        person = person_add(author=request.user, now=now, **form.cleaned_data)
        password_link_make(person=person, author=request.user, now=now)
        messages.success(request, f"{person} is added: hand over the link below.")
        return redirect("core:person-show", person.pk)
    return render(
        request, "core/person_new.html", {"form": form}, status=422 if request.method == "POST" else 200
    )


@require_http_methods(["GET", "HEAD", "POST"])
def person_show(request: HttpRequest, person_id: int) -> HttpResponse:
    administrator_or_403(request)
    person = User.objects.filter(pk=person_id).first()
    if person is None:
        raise Http404
    if request.method == "POST":
        _act(request, person)
        return redirect("core:person-show", person.pk)
    now = timezone.now()
    link = person.password_links.select_related("made_by").first()
    is_open = link is not None and link_is_open(link, now) and person.is_active
    context = {
        "person": person,
        "link": link if is_open else None,
        "address": request.build_absolute_uri(reverse("core:password-link", args=[link_token(link)]))
        if is_open
        else "",
        "password": password_history(person),
    }
    return render(request, "core/person.html", context)


_SWITCHES = {
    "disable": ("is_active", False, "{} is signed out everywhere and signs in no more."),
    "enable": ("is_active", True, "{} may sign in again."),
    "allow-projects": ("may_start_projects", True, "{} may start projects."),
    "refuse-projects": ("may_start_projects", False, "{} may no longer start projects."),
    "make-administrator": ("is_superuser", True, "{} looks after this installation too."),
    "unmake-administrator": ("is_superuser", False, "{} no longer looks after this installation."),
}


def _act(request: HttpRequest, person: User) -> None:
    """Do what the pressed button says; anything else does nothing and says so."""
    do, now = request.POST.get("do", ""), timezone.now()
    if do == "link" and person.is_active:
        password_link_make(person=person, author=request.user, now=now)
        messages.success(request, "A new link is made; one made before is closed.")
    elif do == "end-sessions":
        sessions_end(person=person, author=request.user, now=now)
        messages.success(request, f"{person} is signed out everywhere.")
    elif do in _SWITCHES:
        name, value, text = _SWITCHES[do]
        try:
            person_administer(person=person, author=request.user, now=now, changes={name: value})
        except LastAdministrator:
            messages.error(request, "Somebody must look after this installation: name another person first.")
        else:
            messages.success(request, text.format(person))
    else:
        messages.error(request, "Nothing was changed: this page was out of date.")


@require_safe
def record(request: HttpRequest) -> HttpResponse:
    """Show what was done outside of any project: sign-ins, people, the installation."""
    administrator_or_403(request)
    if file := list_file(request, "", {"record": lambda: record_schedule(None, request.GET)}):
        return file
    return render(request, "core/record.html", record_page(None, request.GET))
