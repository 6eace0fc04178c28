"""Rows for tests. A test names what differs from these."""

import datetime
import json
from pathlib import Path

import factory

from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.models import Membership, Project
from specapp.projects.services import machine_create

NOW = datetime.datetime(2026, 3, 2, 9, 30, tzinfo=datetime.UTC)
SAMPLES = Path(__file__).resolve().parents[1] / "fixtures" / "machines"
PASSWORD = "a-long-enough-password"


class UserFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    name = factory.Sequence(lambda n: f"Person {n}")
    email = factory.LazyAttribute(lambda person: f"{person.username}@plant.example")
    password = factory.django.Password(PASSWORD)


class ProjectFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Project

    name = factory.Sequence(lambda n: f"Project {n}")
    number = factory.Sequence(lambda n: f"J-{1000 + n}")
    created_at = NOW


class MembershipFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Membership

    project = factory.SubFactory(ProjectFactory)
    user = factory.SubFactory(UserFactory)
    role = Role.ENGINEER


def machine_of(project, author=None, name="minimal_process", **changed):
    """Store a sample machine in a project, with what the test changes in its description."""
    return machine_create(
        project=project,
        description={**sample_description(name), **changed},
        author=author or UserFactory(),
        now=NOW,
    )


def sample_description(name):
    """Return one of the sample descriptions in `fixtures/machines`."""
    return json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def member(project, role):
    """Return a new person with a role in the project."""
    return MembershipFactory(project=project, role=role).user
