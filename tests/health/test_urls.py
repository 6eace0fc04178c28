"""Who gets what at every address: the whole matrix of address, method and person."""

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from specapp.core.roles import Role
from specapp.documents.registry import DOCUMENTS
from specapp.projects.deciding.overrides import override_set
from specapp.projects.deciding.setpoint_values import GivenValue, Provenance, setpoint_values_write
from specapp.projects.inviting import invitation_make
from tests.api.asking import token_for
from tests.bids import addresses as bids
from tests.commissioning import addresses as commissioning
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member
from tests.health.keeping import faults
from tests.health.rights import OF_ISSUES
from tests.references import addresses as references
from tests.review import addresses as review
from tests.revisions.addresses import revision_address
from tests.verification import addresses as verification

pytestmark = pytest.mark.django_db

PEOPLE = ("anonymous", "stranger", "bidder", "reader", "engineer", "owner")
SIGN_IN = 302  # to the sign-in page
REFUSED = frozenset({403, 404, 405})
# Their rows stand in the way of those of other addresses, or are not told from them.
OF_ONE_MACHINE = OF_ISSUES | {"references:answer-list"}
ALL_SIGNED_IN = (SIGN_IN, 200, 200, 200, 200, 200)
READING = (SIGN_IN, 404, 403, 200, 200, 200)
EDITING = (SIGN_IN, 404, 403, 403, 200, 200)
MANAGING = (SIGN_IN, 404, 403, 403, 403, 200)
# Whoever looks after the installation is none of these people: tests/core/test_people.py.
ADMINISTERING = (SIGN_IN, 403, 403, 403, 403, 403)
NEVER = (SIGN_IN, 405, 405, 405, 405, 405)


def answers(row, ok):
    """Return a row with another answer where it says 200."""
    return tuple(ok if answer == 200 else answer for answer in row)


# Per address: what GET answers, and what an empty POST answers, for each of the people above.
MATRIX = {
    "health": ((200,) * 6, (405,) * 6),
    "core:sign-in": ((200, 302, 302, 302, 302, 302), (200, 302, 302, 302, 302, 302)),
    "core:sign-out": ((405,) * 6, (302,) * 6),
    "core:account": (ALL_SIGNED_IN, answers(ALL_SIGNED_IN, 422)),
    "core:sessions-end": (NEVER, answers(ALL_SIGNED_IN, 302)),
    "core:password-change": (ALL_SIGNED_IN, answers(ALL_SIGNED_IN, 422)),
    "core:password-forgotten": ((200,) * 6, (422,) * 6),
    "core:password-link": ((404,) * 6, (404,) * 6),
    "core:people-list": (ADMINISTERING, NEVER),
    "core:person-new": (ADMINISTERING, ADMINISTERING),
    "core:person-show": (ADMINISTERING, ADMINISTERING),
    "core:record": (ADMINISTERING, NEVER),
    "projects:project-list": (ALL_SIGNED_IN, NEVER),
    "projects:project-new": ((SIGN_IN, 403, 403, 403, 403, 403),) * 2,
    "projects:project-show": (READING, NEVER),
    "projects:project-edit": (MANAGING, MANAGING),
    "projects:member-list": (MANAGING, NEVER),
    "projects:member-link": (NEVER, answers(MANAGING, 302)),
    "projects:invitation-new": (NEVER, answers(MANAGING, 422)),
    "projects:invitation-withdraw": (NEVER, answers(MANAGING, 302)),
    "projects:project-record": (MANAGING, NEVER),
    "projects:join": ((404,) * 6, (404,) * 6),
    "projects:member-add": (NEVER, answers(MANAGING, 422)),
    "projects:member-leave": (NEVER, answers(MANAGING, 302)),
    "projects:machine-new": (EDITING, answers(EDITING, 422)),
    "projects:machine-show": (READING, NEVER),
    "projects:machine-edit": (EDITING, answers(EDITING, 422)),
    "projects:machine-remove": (EDITING, answers(EDITING, 302)),
    "projects:point-show": (READING, NEVER),
    "projects:drawing-list": (READING, NEVER),
    "projects:criteria-file": (READING, NEVER),
    "projects:criterion-edit": (READING, answers(EDITING, 422)),
    "projects:criterion-withdraw": (NEVER, answers(EDITING, 302)),
    "projects:criterion-confirm": (NEVER, answers(MANAGING, 422)),
    "projects:criterion-take-back": (NEVER, answers(MANAGING, 302)),
    "projects:setpoint-value-list": (READING, NEVER),
    "projects:setpoint-value-write": (EDITING, answers(EDITING, 422)),
    "projects:setpoint-value-withdraw": (NEVER, answers(EDITING, 302)),
    "projects:setpoint-list-import": (EDITING, answers(EDITING, 422)),
    "projects:setpoint-list-blank": (READING, NEVER),
    "projects:machine-turning": (READING, NEVER),
    "projects:machine-turning-search": (READING, NEVER),
    "projects:override-list": (READING, NEVER),
    "projects:override-edit": (EDITING, answers(EDITING, 422)),
    "projects:override-answer": (NEVER, answers(EDITING, 302)),
    "projects:document-list": (READING, NEVER),
    "projects:document-download": (READING, NEVER),
    **references.MATRIX,
    **review.MATRIX,
    **bids.MATRIX,
    **commissioning.MATRIX,
    **verification.MATRIX,
    "assurance:function-list": (READING, NEVER),
    "assurance:function-show": (READING, NEVER),
    "assurance:voting-decide": (READING, answers(EDITING, 422)),
    "assurance:loop-list": (READING, NEVER),
    "assurance:entity-list": (READING, NEVER),
    "assurance:area-show": (READING, NEVER),
    "lists:machine-search": (ALL_SIGNED_IN, NEVER),
    "lists:sheet-bring": (EDITING, answers(EDITING, 422)),
    "lists:sheet-preview": (answers(EDITING, 302), answers(EDITING, 302)),
    "lists:sheet-template": (EDITING, NEVER),
    "lists:machine-copy": (EDITING, answers(EDITING, 422)),
    "lists:machine-compare": (READING, NEVER),
    "lists:machine-list": (READING, NEVER),
    "lists:schedule-list": (READING, NEVER),
    "lists:schedule-file": (READING, NEVER),
    "revisions:sheet-find": (ALL_SIGNED_IN, answers(ALL_SIGNED_IN, 422)),
    "revisions:sheet-show": (READING, NEVER),
    "revisions:numbering-edit": (READING, answers(MANAGING, 422)),
    "revisions:register-list": (READING, NEVER),
    "revisions:register-package": (READING, NEVER),
    "revisions:register-edit": (EDITING, answers(EDITING, 422)),
    "revisions:issue-list": (READING, NEVER),
    "revisions:issue-distribute": (NEVER, answers(EDITING, 422)),
    "revisions:issue-receive": (NEVER, (SIGN_IN, 404, 403, 302, 403, 403)),
    "revisions:issue-new": (EDITING, answers(EDITING, 422)),
    "revisions:issue-show": (READING, NEVER),
    "revisions:issue-package": (READING, NEVER),
    "revisions:issued-file": (READING, NEVER),
    "revisions:superseded-file": (READING, NEVER),
    "revisions:revision-list": (READING, NEVER),
    "revisions:revision-freeze": (NEVER, answers(EDITING, 422)),
    "revisions:revision-compare": (READING, NEVER),
    "revisions:revision-show": (READING, NEVER),
    "revisions:revision-refreeze": (NEVER, answers(EDITING, 409)),
    "revisions:revision-cancel": (NEVER, answers(EDITING, 422)),
    "revisions:revision-sign": (EDITING, answers(EDITING, 422)),
    "revisions:hold-list": (READING, NEVER),
    "revisions:hold-put": (NEVER, answers(EDITING, 422)),
    "revisions:hold-release": (NEVER, answers(EDITING, 422)),
    "api:interface-show": (ALL_SIGNED_IN, NEVER),
    "api:nothing": ((404,) * 6, (404,) * 6),
    "api:token-list": (READING, answers(READING, 422)),
    "api:token-withdraw": (NEVER, (SIGN_IN, 404, 403, 403, 403, 302)),
}
# Programs come with tokens instead of a sign-in: their matrix is tests/api/test_matrix.py.
OF_PROGRAMS = "api:interface:"


def every_name(resolver=None, namespace=""):
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{pattern.namespace}:" if pattern.namespace else ""
            yield from every_name(pattern, namespace + inner)
        elif isinstance(pattern, URLPattern):
            yield namespace + (pattern.name or str(pattern.pattern))


def test_every_address_is_in_the_matrix():
    assert sorted(name for name in every_name() if not name.startswith(OF_PROGRAMS)) == sorted(MATRIX)


def person_of(kind, project):
    if kind == "anonymous":
        return None
    return UserFactory() if kind == "stranger" else member(project, Role[kind.upper()])


_LISTS = (
    "projects:setpoint-value-list",
    "projects:setpoint-value-write",
    "projects:setpoint-list-import",
    "projects:setpoint-list-blank",
    "projects:override-list",
    "projects:override-edit",
    "projects:document-list",
    "projects:drawing-list",
)


def address(name, project, machine):
    if name.startswith("revisions:"):
        return revision_address(name, project, machine)
    if name == "api:nothing":
        return "/api/nothing"
    places = {
        "core:password-link": ["1-0000"],
        "core:person-show": [machine.created_by.pk],
        "projects:project-show": [project.pk],
        "projects:project-edit": [project.pk],
        "projects:member-add": [project.pk],
        "projects:member-list": [project.pk],
        "projects:member-leave": [project.pk, project.memberships.first().pk],
        "projects:member-link": [project.pk, project.memberships.first().pk],
        "projects:invitation-new": [project.pk],
        "projects:project-record": [project.pk],
        "projects:join": ["1-0000"],
        "projects:machine-new": [project.pk],
        "projects:point-show": [project.pk, machine.pk, "BG/B1/radial/Y"],
        "assurance:function-show": [project.pk, machine.pk, "BG/B1/radial"],
        "projects:document-download": [project.pk, machine.pk, next(iter(DOCUMENTS))],
        "lists:machine-search": [],
        "lists:sheet-bring": [project.pk],
        "lists:sheet-preview": [project.pk],
        "lists:sheet-template": [project.pk],
        "lists:machine-copy": [project.pk],
        "lists:machine-compare": [project.pk],
        "lists:machine-list": [project.pk, "csv"],
        "lists:schedule-list": [project.pk, machine.pk],
        "lists:schedule-file": [project.pk, machine.pk, "bill", "xlsx"],
    }
    if name.startswith("review:"):
        places[name] = review.place(name, project, machine)
    if ":criteri" in name:
        one = [] if name == "projects:criteria-file" else ["radial.alarm_zone"]
        places[name] = [project.pk, *one]
    if name.startswith("bids:"):
        places[name] = bids.place(name, project, machine)
    if name.startswith("commissioning:"):
        places[name] = commissioning.place(name, project, machine)
    if name.startswith("verification:"):
        place, query = verification.place(name, project, machine)
        return reverse(name, args=place, query=query)
    if name.startswith("api:token-"):
        places[name] = token_place(name, project)
    if name.startswith("references:"):
        places[name] = references.place(name, project, machine)
    if name == "projects:invitation-withdraw":
        maker = project.memberships.first().user
        row = invitation_make(project=project, role=Role.READER, for_whom="a", author=maker, now=NOW)
        places[name] = [project.pk, row.pk]
    if name == "projects:override-answer":
        places[name] = [project.pk, machine.pk, an_override(machine).pk, "undo"]
    of_machine = (
        [project.pk, machine.pk]
        if ":machine-" in name or name.startswith("assurance:") or name in _LISTS
        else []
    )
    if name == "projects:setpoint-value-withdraw":
        places[name] = [project.pk, machine.pk, a_setpoint_value(machine).pk]
    of_item = ("projects:override-edit", "projects:setpoint-value-write", "commissioning:left-enter")
    query = {"field": "trip", "level": "trip", "item": "BG/B1/radial"} if name in of_item else None
    return reverse(name, args=places.get(name, of_machine), query=query)


def token_place(name, project):
    """Return what an address of tokens has; the token to be withdrawn is another person's."""
    if name == "api:token-list":
        return [project.pk]
    return [project.pk, token_for(project, UserFactory())[0].pk]


def a_setpoint_value(machine):
    (row,) = setpoint_values_write(
        machine=machine,
        expected_version=machine.version,
        values=[GivenValue("BG/B1/radial", "trip", 40.0, None, "um")],
        provenance=Provenance("MAKERS", "VS-118", "1", "the maker", NOW.date()),
        author=machine.created_by,
        now=NOW,
    )
    return row


def an_override(machine):
    machine.refresh_from_db()
    return override_set(
        machine=machine,
        expected_version=machine.version,
        item="BG/B1/radial",
        field="trip",
        value=40.0,
        reason="a test",
        author=machine.created_by,
        now=NOW,
    )


def group_of(name):
    """Return which addresses are read on the same rows: those of an app, of enquiries by their stage."""
    if name.startswith("bids:bidding-"):
        return "bidding"
    return "offers" if name in bids.OF_OFFERS else name.partition(":")[0]


DONE = [name for name in MATRIX if not REFUSED.issuperset(MATRIX[name][1][1:])]


@pytest.mark.parametrize("group", sorted({group_of(name) for name in MATRIX}))
def test_each_person_reads_what_their_role_allows(group):
    """Reading changes nothing, nor what nobody may do, so that the addresses share their rows."""
    project = ProjectFactory()
    browsers = {kind: Client() for kind in PEOPLE}
    people = {kind: person_of(kind, project) for kind in PEOPLE}
    for kind, person in people.items():
        if person is not None:
            browsers[kind].force_login(person)
    member(project, Role.OWNER)
    shared = machine_of(project)
    wrong = {}
    for number, name in enumerate(name for name in MATRIX if group_of(name) == group):
        machine = machine_of(project, tag=f"K-{number}") if name in OF_ONE_MACHINE else shared
        place = address(name, project, machine)
        for method, expected in zip(("GET", "POST"), MATRIX[name], strict=True):
            if method == "POST" and name in DONE:
                continue
            got = {kind: browser.generic(method, place) for kind, browser in browsers.items()}
            if (statuses := tuple(answer.status_code for answer in got.values())) != expected:
                wrong[method, name] = statuses
            if found := [fault for answer in got.values() for fault in faults(answer)]:
                wrong[method, name, "faults"] = found
            if statuses[0] == SIGN_IN and not got["anonymous"].url.startswith(reverse("core:sign-in")):
                wrong[method, name, "sign-in"] = got["anonymous"].url
        if name != "api:nothing":
            taken = {browsers["owner"].generic(each, place).status_code for each in ("PUT", "DELETE")}
            if not taken <= {405, 404, SIGN_IN}:
                wrong[name, "other methods"] = taken
    assert wrong == {}


@pytest.mark.parametrize("name", DONE)
def test_each_person_does_what_their_role_allows(name, client):
    project = ProjectFactory()
    people = [person_of(kind, project) for kind in PEOPLE]
    member(project, Role.OWNER)
    expected = MATRIX[name][1]
    place, got = address(name, project, machine_of(project)), []
    for kind, person, answer in zip(PEOPLE, people, expected, strict=True):
        client.logout()
        if person is not None:
            client.force_login(person)
        asked = place
        if person is not None and answer not in REFUSED:
            # What one may do is done to a machine of one's own; those who are refused share one.
            asked = address(name, project, machine_of(project, tag=f"K-{kind}"))
        response = client.post(asked)
        got.append(response.status_code)
        assert faults(response) == []
        if person is None and response.status_code == SIGN_IN and name != "core:sign-out":
            assert response.url.startswith(reverse("core:sign-in"))
    assert tuple(got) == expected


_OF_NO_PROJECT = (
    "project-list",
    "project-new",
    "machine-search",
    "sheet-find",
    "my-reviews",
    "bidding-list",
    "interface-show",
)


@pytest.mark.parametrize("app", sorted({name.partition(":")[0] for name in MATRIX} - {"core", "health"}))
def test_another_projects_rows_are_not_found_even_for_an_owner(app, client):
    """What is not found changes nothing, so that the addresses share their rows."""
    mine, theirs = ProjectFactory(), ProjectFactory()
    member(theirs, Role.OWNER)
    shared = machine_of(theirs)
    machine_of(mine)
    client.force_login(member(mine, Role.OWNER))
    if app == "bids":
        # The enquiry has offers from the start.
        address("bids:offer-show", theirs, shared)
    found = {}
    for number, name in enumerate(name for name in MATRIX if name.startswith(f"{app}:")):
        if name.rpartition(":")[2] in _OF_NO_PROJECT:
            continue
        machine = machine_of(theirs, tag=f"K-{number}") if name in OF_ONE_MACHINE else shared
        place = address(name, theirs, machine)
        mixed = place.replace(f"/projects/{theirs.pk}/", f"/projects/{mine.pk}/")
        asked = [("get", place), ("post", place)]
        if f"/{machine.pk}/" in mixed.removeprefix(f"/projects/{mine.pk}"):
            asked.append(("get", mixed))
        for method, where in asked:
            if (status := getattr(client, method)(where).status_code) not in (404, 405):
                found[name, method, where] = status
    assert found == {}


@pytest.mark.parametrize("path", ["/nothing/here/", "/projects/0/", "/projects/99999999999999999999/"])
def test_an_unknown_address_is_a_page_of_our_own(path, client):
    client.force_login(UserFactory())
    response = client.get(path)
    assert response.status_code == 404
    assert b"Nothing here" in response.content
