"""Fixtures of revisions."""

import pytest

from specapp.core.roles import Role
from tests.factories import ProjectFactory, machine_of, member


@pytest.fixture
def project(db):
    return ProjectFactory(time_zone="Pacific/Auckland", number="NM-7")


@pytest.fixture
def engineer(project):
    return member(project, Role.ENGINEER)


@pytest.fixture
def machine(project, engineer):
    return machine_of(project, author=engineer, name="minimal_process")
