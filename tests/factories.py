"""Rows for tests. A test names what differs from these."""

import datetime

import factory

from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.models import Membership, Project

NOW = datetime.datetime(2026, 3, 2, 9, 30, tzinfo=datetime.UTC)
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
