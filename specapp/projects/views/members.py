"""Who works on a project: members and their roles, invitations, links for forgotten passwords."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.core.links import link_token
from specapp.core.list_files import list_file
from specapp.core.people import password_link_make
from specapp.core.recording import record_page, record_schedule
from specapp.core.roles import Right, Role
from specapp.projects.access import Access, project_or_404
from specapp.projects.errors import LastOwner
from specapp.projects.inviting import (
    helped_with_password,
    invitation_make,
    invitation_withdraw,
    open_invitations,
    open_password_links,
)
from specapp.projects.models import Membership
from specapp.projects.presenting.projects import invitations_schedule, members_table
from specapp.projects.project_forms import InvitationForm, MemberForm
from specapp.projects.selectors import project_members
from specapp.projects.services import member_remove, member_set

_AN_OWNER_STAYS = "A project keeps at least one owner: name another one first."


@require_safe
def member_list(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.MANAGE_PROJECT)
    project = access.project
    lists = {
        "members": lambda: members_table(project_members(project)).schedule(),
        "invitations": lambda: invitations_schedule(open_invitations(project, timezone.now())),
    }
    return list_file(request, project.file_name, lists) or _page(request, access)


def _page(
    request: HttpRequest,
    access: Access,
    form: MemberForm | None = None,
    invite_form: InvitationForm | None = None,
) -> HttpResponse:
    now, memberships = timezone.now(), Membership.objects.filter(project=access.project)
    helped = helped_with_password(request.user, memberships)
    links = open_password_links(request.user, memberships, now)
    members = [
        (row, row.user_id in helped, _address(request, "core:password-link", links.get(row.user_id)))
        for row in project_members(access.project)
    ]
    context = {
        "access": access,
        "project": access.project,
        "members": members,
        "invitations": [
            (row, _address(request, "projects:join", row)) for row in open_invitations(access.project, now)
        ],
        "form": form or MemberForm(),
        "invite_form": invite_form or InvitationForm(),
    }
    return render(request, "projects/members.html", context, status=422 if form or invite_form else 200)


def _address(request: HttpRequest, name: str, link) -> str:
    return request.build_absolute_uri(reverse(name, args=[link_token(link)])) if link else ""


@require_POST
def member_add(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.MANAGE_PROJECT)
    form = MemberForm(request.POST)
    if form.is_valid():
        person, role = form.cleaned_data["person"], Role(form.cleaned_data["role"])
        try:
            member_set(
                project=access.project, user=person, role=role, author=request.user, now=timezone.now()
            )
        except LastOwner:
            form.add_error("role", _AN_OWNER_STAYS)
        else:
            messages.success(request, f"{person} is {role.label} of this project.")
            # Who has given up the role of owner has no list of members any more.
            is_still_owner = person != request.user or role == Role.OWNER
            return redirect(
                "projects:member-list" if is_still_owner else "projects:project-list",
                *([access.project.pk] if is_still_owner else []),
            )
    return _page(request, access, form=form)


def _member_or_404(request: HttpRequest, project_id: int, membership_id: int) -> tuple[Access, Membership]:
    access = project_or_404(request, project_id, Right.MANAGE_PROJECT)
    rows = Membership.objects.select_related("project", "user")
    membership = rows.filter(project=access.project, pk=membership_id).first()
    if membership is None:
        raise Http404
    return access, membership


@require_POST
def member_leave(request: HttpRequest, project_id: int, membership_id: int) -> HttpResponse:
    _, membership = _member_or_404(request, project_id, membership_id)
    try:
        member_remove(membership=membership, author=request.user, now=timezone.now())
    except LastOwner:
        messages.error(request, _AN_OWNER_STAYS)
    else:
        messages.success(request, f"{membership.user} is no longer a member, from this moment.")
        if membership.user == request.user:
            return redirect("projects:project-list")
    return redirect("projects:member-list", project_id)


@require_POST
def member_link(request: HttpRequest, project_id: int, membership_id: int) -> HttpResponse:
    """Make a link for a member's password, where it opens nothing that the owner cannot open anyway."""
    _, membership = _member_or_404(request, project_id, membership_id)
    if membership.user_id not in helped_with_password(
        request.user, Membership.objects.filter(project=project_id)
    ):
        raise PermissionDenied(
            f"{membership.user} is in projects that you do not own, or has wider rights: whoever runs this "
            "installation makes this link."
        )
    password_link_make(person=membership.user, author=request.user, now=timezone.now(), project_id=project_id)
    messages.success(
        request, f"The link for {membership.user} stands in the list; one made before is closed."
    )
    return redirect("projects:member-list", project_id)


@require_POST
def invitation_new(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.MANAGE_PROJECT)
    form = InvitationForm(request.POST)
    if not form.is_valid():
        return _page(request, access, invite_form=form)
    invitation_make(
        project=access.project,
        role=Role(form.cleaned_data["role"]),
        for_whom=form.cleaned_data["for_whom"],
        author=request.user,
        now=timezone.now(),
    )
    messages.success(request, "The link stands below: hand it over as you like.")
    return redirect("projects:member-list", access.project.pk)


@require_POST
def invitation_withdrawn(request: HttpRequest, project_id: int, invitation_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.MANAGE_PROJECT)
    row = access.project.invitations.filter(pk=invitation_id).first()
    if row is None:
        raise Http404
    if invitation_withdraw(invitation=row, author=request.user, now=timezone.now()):
        messages.success(request, f"The link for {row.for_whom} is closed.")
    else:
        messages.error(request, "That link was used or closed already.")
    return redirect("projects:member-list", access.project.pk)


@require_safe
def project_record(request: HttpRequest, project_id: int) -> HttpResponse:
    """Show who did what when in a project, to its owners."""
    access = project_or_404(request, project_id, Right.MANAGE_PROJECT)
    lists = {"record": lambda: record_schedule(access.project.pk, request.GET)}
    if file := list_file(request, access.project.file_name, lists):
        return file
    context = {"access": access, "project": access.project, **record_page(access.project.pk, request.GET)}
    return render(request, "projects/record.html", context)
