"""The demonstration: an invented plant with invented people, to be loaded again and again.

Machines that a visitor has changed stay as changed; what is missing is added.
"""

import json
import secrets
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.db import transaction

from specapp.core.models import User
from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.demo_decisions import demo_decide
from specapp.projects.models import Machine, Membership, Project
from specapp.projects.services import machine_create, machine_recount, member_set, project_create


@dataclass(frozen=True, slots=True)
class Person:
    """An invented person who signs in to the demonstration."""

    username: str
    name: str
    does: str


PEOPLE = (
    Person("keller", "Astrid Keller", "lead engineer, owner of both projects, looks after the installation"),
    Person("okafor", "Tomas Okafor", "project engineer"),
    Person("lindqvist", "Mei Lindqvist", "reviewer"),
    Person("brandt", "Ravi Brandt", "approver"),
    Person("duarte", "Hanna Duarte", "bid evaluator"),
    Person("osei", "Nadia Osei", "client, reads what was issued to her, and comments"),
    Person("soto", "Pilar Soto", "buyer, runs the enquiries"),
    Person("hagen", "Jon Hagen", "bidder, sees only what was issued to his organisation"),
)

_NORTHMERE = {
    "name": "Northmere air and nitrogen",
    "number": "NM-2207",
    "client": "Northmere Gases (invented)",
    "site": "Northmere works, unit 44 (invented)",
    "page_size": "A3",
    "time_zone": "Europe/Oslo",
}
_SALTHOLM = {
    "name": "Saltholm hydrogen recovery",
    "number": "SH-118",
    "client": "Saltholm Refining (invented)",
    "site": "Saltholm, block 6 (invented)",
    "page_size": "LETTER",
    "time_zone": "America/Chicago",
}
_ROLES = {
    "okafor": Role.ENGINEER,
    "lindqvist": Role.REVIEWER,
    "brandt": Role.APPROVER,
    "duarte": Role.EVALUATOR,
    "osei": Role.CLIENT,
    "soto": Role.BUYER,
    "hagen": Role.BIDDER,
}
_PROJECTS = (
    (_NORTHMERE, _ROLES, ("contract_example", "eight_stage", "minimal_packaged", "minimal_process")),
    (
        _SALTHOLM,
        {"okafor": Role.ENGINEER, "lindqvist": Role.REVIEWER},
        ("turbine_driven_hydrogen", "us_units_process"),
    ),
)


def demo_password(var_dir: Path) -> str:
    """Return the password of all demonstration people, made once for this installation."""
    path = var_dir / "demo_password"
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(f"northmere-{secrets.token_hex(4)}", encoding="ascii")
    return path.read_text(encoding="ascii").strip()


@transaction.atomic
def demo_load(*, machines_folder: Path, password: str, now: datetime) -> None:
    """Load people, projects and machines; again, it changes only passwords that differ."""
    people = {person.username: _person(person, password) for person in PEOPLE}
    owner = people["keller"]
    for fields, roles, machines in _PROJECTS:
        project = Project.objects.filter(is_invented=True, number=fields["number"]).first()
        if project is None:
            project = project_create(author=owner, now=now, fields=fields, is_invented=True)
        for username, role in roles.items():
            if not Membership.objects.filter(project=project, user=people[username]).exists():
                member_set(project=project, user=people[username], role=role, author=owner, now=now)
        for name in machines:
            description = json.loads((machines_folder / f"{name}.json").read_text(encoding="utf-8"))
            machine = Machine.objects.filter(project=project, tag__iexact=description["tag"]).first()
            if machine is None:
                author = people["okafor"]
                machine = machine_create(project=project, description=description, author=author, now=now)
                demo_decide(machine=machine, author=author, now=now)
            else:
                _count_again(machine)


def _count_again(machine: Machine) -> None:
    """Bring what the lists show up to date with the present rules, if they still read the description."""
    with suppress(InputErrors):
        machine_recount(machine=machine, proposal=machine_proposal(machine))


def _person(person: Person, password: str) -> User:
    user, _ = User.objects.get_or_create(
        username=person.username,
        defaults={"name": person.name, "email": f"{person.username}@northmere.example"},
    )
    if not user.check_password(password):
        user.set_password(password)
    user.is_active = True
    user.is_superuser = person.username == "keller"
    user.may_start_projects = person.username in ("keller", "okafor")
    user.save()
    return user
