"""Who reads which issues: every page, file and count of what was issued asks here.

Whoever reads drafts reads every issue of the project. People of other companies read what was sent to them.
"""

from collections import defaultdict

from django.db.models import Exists, OuterRef, Q, QuerySet

from specapp.core.models import User
from specapp.core.roles import Right, Role
from specapp.projects.access import Access, rights_in
from specapp.projects.models import Membership
from specapp.revisions.models import Issue, IssuedDocument, Recipient

# The proposal as a file holds the reasoning behind every value: it stays with the owner's people.
KEPT_INSIDE = frozenset({"proposal"})


def sent_to(role: Role, person: User) -> Q:
    """Return which lines of distribution lists name a person who holds a role."""
    return Q(person=person) | Q(role=role)


def is_sent(issue: Issue, role: Role, person: User) -> bool:
    return issue.distribution.filter(sent_to(role, person)).exists()


def lines_naming(person: User) -> QuerySet[Recipient]:
    """Return the lines of distribution lists that name a person or a role that he holds there."""
    held = Membership.objects.filter(user=person, project=OuterRef("issue__project"), role=OuterRef("role"))
    return Recipient.objects.filter(Q(person=person) | Exists(held))


def issues_read_by(person: User) -> QuerySet[Issue]:
    """Return the issues that a person may read, of all projects."""
    whole: list[int] = []
    outside: dict[Role, list[int]] = defaultdict(list)
    for membership in Membership.objects.filter(user=person).select_related("project"):
        role = Role(membership.role)
        rights = rights_in(membership.project, role)
        if Right.READ_DRAFT in rights:
            whole.append(membership.project_id)
        elif Right.READ_ISSUED in rights:
            outside[role].append(membership.project_id)
    readable = Q(project__in=whole)
    for role, projects in outside.items():
        lines = Recipient.objects.filter(sent_to(role, person), issue__project__in=projects)
        readable |= Q(pk__in=lines.values("issue"))
    return Issue.objects.filter(readable)


def issues_of(access: Access, person: User) -> QuerySet[Issue]:
    """Return the issues of a project that a member may read."""
    return issues_read_by(person).filter(project=access.project)


def documents_of(access: Access, person: User) -> QuerySet[IssuedDocument]:
    """Return the issued documents of a project that go to a member."""
    rows = IssuedDocument.objects.filter(issue__in=issues_of(access, person))
    return rows if access.may_read_drafts else rows.exclude(key__in=KEPT_INSIDE)


def is_open_to(access: Access, document: IssuedDocument) -> bool:
    """Tell whether a document of an issue that a person reads goes to that person, too."""
    return access.may_read_drafts or document.key not in KEPT_INSIDE
