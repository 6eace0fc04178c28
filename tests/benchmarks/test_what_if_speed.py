"""Server time of what would change, over the run of the rules that it rests on."""

import json
from statistics import median
from time import process_time

import pytest

import specapp.config.wsgi  # noqa: F401  the program as a server loads it
from specapp.core.roles import Role
from specapp.projects import worked
from specapp.projects.deciding.ground import machine_ground
from tests.benchmarks.slowness import slowness
from tests.factories import ProjectFactory, machine_of, member
from tests.projects.test_what_if import HTMX, edit, form_of

pytestmark = pytest.mark.django_db
LIMIT_MS = 10.0


def test_the_fragment_over_the_proposal(client, record_property):
    project = ProjectFactory()
    client.force_login(member(project, Role.ENGINEER))
    machine = machine_of(project, name="eight_stage")
    # As a browser sends it, by static/js/told.js: what is blank stays out, the rest as JSON.
    told = {name: text for name, text in form_of(machine).items() if text}
    typed = {**told, "do": "show"}
    described = dict(machine.description)
    ground = machine_ground(machine)
    address = edit(machine)

    def fragment(number):
        body = json.dumps({**typed, "bull_gear.minimum_speed": f"{900 + number} rpm"})
        start = process_time()
        client.post(address, body, content_type="application/json", headers=HTMX)
        return (process_time() - start) * 1000

    def proposal(number):
        start = process_time()
        worked.proposal_for({**described, "title": f"t{number}"}, ground)
        return (process_time() - start) * 1000

    fragment(0), proposal(0)
    spent = median(fragment(number) for number in range(1, 22))
    bare = median(proposal(number) for number in range(1, 22))
    slower = slowness()
    record_property("milliseconds", spent - bare)
    print(f"{spent:.1f} ms, of which the proposal {bare:.1f}; this computer is {slower:.2f} times slower")
    assert spent - bare <= LIMIT_MS * slower
