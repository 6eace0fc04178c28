"""What holds for every page: methods, roles beside those of the matrix, headers, nothing from elsewhere."""

import pytest
from django.test import Client
from django.urls import reverse

from specapp.core.roles import RIGHTS, Right, Role
from specapp.review.models import Audience
from tests.factories import ProjectFactory, UserFactory, machine_of, member
from tests.health.keeping import faults
from tests.health.rights import ADDRESSED, OF_BIDDERS, OF_EVERYBODY, OF_ISSUES, OUTSIDE, RIGHTS_OF
from tests.health.test_urls import (
    EDITING,
    MANAGING,
    MATRIX,
    READING,
    address,
)
from tests.review.commenting import commented

pytestmark = pytest.mark.django_db
_OTHER_ROLES = [role for role in Role if role.name.lower() not in ("bidder", "reader", "engineer", "owner")]
# What a row of the matrix means as a right; rows that mean another one say so.
_MEANING = {READING: Right.READ_DRAFT, EDITING: Right.EDIT_MACHINE, MANAGING: Right.MANAGE_PROJECT}
_ANOTHER_RIGHT = {
    "projects:criterion-confirm": Right.CONFIRM_CRITERIA,
    "projects:criterion-take-back": Right.CONFIRM_CRITERIA,
    "projects:criterion-edit POST": Right.SET_CRITERIA,
    "projects:criterion-withdraw": Right.SET_CRITERIA,
}


def _right(name, method):
    """Return the rights that an address of a project asks for, None where its own matrix says it."""
    if name in RIGHTS_OF:
        right = RIGHTS_OF[name][method == "POST"]
        return right if right is None or isinstance(right, set) else {right}
    if not name.startswith(("projects:", "lists:", "assurance:")):
        return None
    row = MATRIX[name][method == "POST"]
    refused = tuple(
        answer if answer in (302, 404, 403) and place < 5 else 0 for place, answer in enumerate(row)
    )
    for pattern, right in _MEANING.items():
        pattern_refused = tuple(
            answer if answer in (302, 404, 403) and place < 5 else 0 for place, answer in enumerate(pattern)
        )
        if refused == pattern_refused:
            return {_ANOTHER_RIGHT.get(name) or _ANOTHER_RIGHT.get(f"{name} {method}") or right}
    return None


_ASKED = [
    (name, method, rights)
    for name in MATRIX
    for method in ("GET", "POST")
    if (rights := _right(name, method)) is not None
]


def test_every_address_says_what_it_asks_for():
    apps = ("review:", "references:", "revisions:", "bids:", "commissioning:", "verification:", "api:")
    assert {name for name in MATRIX if name.startswith(apps)} == RIGHTS_OF.keys() | OF_EVERYBODY | OF_BIDDERS


def test_the_roles_beside_the_matrix_are_held_to_their_rights():
    """One machine for all: whoever may change it comes last, and what a role may not do changes nothing.

    Only what is issued has a machine of its own, for a candidate stands in the way of the next; it is the
    machine of the enquiry as well, which has offers from the start.
    """
    project = ProjectFactory()
    owner = member(project, Role.OWNER)
    machine = machine_of(project, author=owner)
    people = {role: Client() for role in _OTHER_ROLES}
    for role, client in people.items():
        client.force_login(member(project, role))
    # People outside find only what concerns them: tests/review/test_comment_pages.py.
    for audience in (Audience.MAKER, Audience.CLIENT):
        commented(machine, owner, audience=audience)
    issued = machine_of(project, author=owner, tag="K-2")
    address("bids:offer-show", project, issued)
    wrong = {}
    for name, method, rights in _ASKED:
        if name in ("projects:machine-remove", "projects:member-leave") and method == "POST":
            continue
        place = address(name, project, issued if name in OF_ISSUES else machine)
        refused = [role for role in people if not rights <= RIGHTS[role]]
        let_in = [role for role in people if rights <= RIGHTS[role]]
        if name in ADDRESSED:
            let_in = [role for role in let_in if role not in OUTSIDE]
        for role in refused:
            if (status := people[role].generic(method, place).status_code) != 403:
                wrong[f"{method} {name} as {role.label}"] = status
        if method == "GET" and let_in:
            # One role at an address, another at the next: all of them would take long.
            client = people[let_in[len(name) % len(let_in)]]
            # 409: let in, but nothing is reported before the prices are open.
            if (status := client.get(place).status_code) not in (200, 302, 409):
                wrong[f"GET {name} by right"] = status
    assert len(_ASKED) > 140
    assert wrong == {}


def test_faults_and_redirections_keep_to_themselves(client):
    """As every page does: tests/health/test_urls.py."""
    client.force_login(UserFactory())
    wrong = {}
    for what, response in {
        "not found": client.get("/nothing/"),
        "forbidden": client.get(reverse("core:people-list")),
        "too old": Client(enforce_csrf_checks=True).post(reverse("core:sign-in")),
        "signed out": Client().get(reverse("projects:project-list")),
        "unreadable": client.post(reverse("core:account"), data="x" * 3_000_000, content_type="text/plain"),
    }.items():
        if found := faults(response):
            wrong[what] = found
    assert wrong == {}


def test_another_sites_form_is_refused():
    client = Client(enforce_csrf_checks=True)
    client.force_login(UserFactory())
    assert client.post(reverse("core:sessions-end")).status_code == 403
