"""The demonstration loads again and again, and its sign-ins work."""

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from specapp.core.models import User
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.demo import PEOPLE
from specapp.projects.demo_decisions import DECIDED_TAG
from specapp.projects.models import Machine, Project
from specapp.projects.worked import engine_digest
from specapp.review.demo import REVIEWED_TAG
from specapp.review.models import Comment
from specapp.review.selectors import contradictions

pytestmark = pytest.mark.django_db


@pytest.fixture
def var_dir(settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return tmp_path


def test_it_loads_twice_to_the_same_and_every_printed_sign_in_works(var_dir, client, capsys):
    call_command("demo", "--no-serve")
    first = capsys.readouterr().out
    machines = Machine.objects.count()
    Machine.objects.update(counted_by="0.0.1+old")
    call_command("demo", "--no-serve")
    assert capsys.readouterr().out == first
    assert {machine.counted_by for machine in Machine.objects.all()} == {engine_digest()}
    assert Machine.objects.count() == machines > 0
    assert all(project.is_invented for project in Project.objects.all())
    decided = Machine.objects.get(tag=DECIDED_TAG)
    assert {line.state for line in machine_proposal(decided).overrides} == {"in force", "confirm again"}
    assert decided.setpoint_values.get().state == "MAKERS"
    comments = Comment.objects.filter(machine__tag=REVIEWED_TAG)
    assert comments.count() == 4
    assert all(comment.item and "invented" in comment.text for comment in comments)
    assert len(contradictions(comments)) == 1
    password = (var_dir / "demo_password").read_text()
    for person in PEOPLE:
        assert f"{person.username:<10}  {password}" in first
        client.logout()
        client.post(reverse("core:sign-in"), {"username": person.username, "password": password})
        assert client.session["_auth_user_id"] == str(User.objects.get(username=person.username).pk)
        assert client.get(reverse("projects:project-list")).context["table"].rows


def test_it_does_not_load_in_production(settings):
    settings.IS_PRODUCTION = True
    with pytest.raises(CommandError, match="not loaded in production"):
        call_command("demo", "--no-serve")


def test_a_port_that_cannot_be_is_refused(var_dir):
    with pytest.raises(CommandError, match="found 70000"):
        call_command("demo", "--port", "70000")
