"""Overrides: set, shown beside the rule, confirmed again, undone; who may, and what happens at once."""

import re
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.items import item_of, settable, typed_value
from specapp.projects.deciding.overrides import override_confirm, override_set, override_undo
from specapp.projects.errors import OverrideGone, StaleVersion
from specapp.projects.models import Machine, Override
from specapp.projects.services import machine_update
from specapp.projects.views import overrides as overrides_view
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member

pytestmark = pytest.mark.django_db
GROUP = "P1/P1-1/radial"
POINT = f"{GROUP}/Y"


@pytest.fixture
def project():
    return ProjectFactory()


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


@pytest.fixture
def machine(project):
    return machine_of(project, name="contract_example")


def set_on(machine, item=GROUP, field="trip", value=41.0, reason="clause 7.3", author=None):
    machine.refresh_from_db()
    return override_set(
        machine=machine,
        expected_version=machine.version,
        item=item,
        field=field,
        value=value,
        reason=reason,
        author=author or UserFactory(name="A. Person"),
        now=NOW,
    )


def point_of(machine, key=POINT):
    machine.refresh_from_db()
    return next(point for point in machine_proposal(machine).points if point.key == key)


def url(name, machine, *more):
    return reverse(f"projects:{name}", args=[machine.project_id, machine.pk, *more])


def test_a_trip_stands_in_place_of_the_rules_and_remembers_it(machine):
    rule = point_of(machine).setpoints.trip.value
    row = set_on(machine)
    assert point_of(machine).setpoints.trip.value == 41.0
    assert row.rule_value == rule
    assert row.speed_rpm == 18200.0
    applied = machine_proposal(machine).overrides[0]
    assert (applied.state, applied.rule_value, applied.author) == ("in force", rule, "A. Person")
    assert machine.version == 2
    entry = AuditEntry.objects.filter(action="override.set").get()
    assert entry.data["is"] == 41.0


@pytest.mark.parametrize(
    ("item", "field", "value"),
    [
        (GROUP, "alarm", 30.0),
        (GROUP, "voting", "1oo2"),
        (GROUP, "delay", 3.0),
        (POINT, "angle", 10.0),
        (POINT, "tip", 5.0),
        (POINT, "chain", "transmitter"),
        (POINT, "tag", "VE-9001"),
        (POINT, "struck", True),
        ("P1/axial/A", "trip", 0.4),
        ("P1/axial/B", "added", True),
    ],
)
def test_every_field_set_now_is_in_force_and_not_asked_again(item, field, value, machine):
    set_on(machine, item, field, value)
    assert [each.state for each in machine_proposal(machine).overrides] == ["in force"]


def test_every_offer_of_a_point_can_be_taken(machine):
    """What the sheet of a point offers to set is what the rules engine accepts, for every kind of point."""
    proposal = machine_proposal(machine)
    told = {"voting": "1oo1", "chain": "monitor", "tag": "T-1", "tip": 5.0, "angle": 3.0}
    kinds = {point.quantity: point for point in proposal.points}
    for point in kinds.values():
        for key, field in settable(point):
            now = item_of(proposal, key, field).value
            value = told.get(field, True if field == "struck" else now or 1.0)
            row = set_on(machine, key, field, value)
            override_undo(override=row, expected_version=row.machine.version, author=row.author, now=NOW)


def test_replacing_keeps_the_former_as_history(machine):
    first = set_on(machine)
    second = set_on(machine, value=39.0)
    first.refresh_from_db()
    assert first.undone_at == NOW
    assert Override.objects.get(undone_at=None) == second
    assert second.rule_value == first.rule_value


def test_undoing_lets_the_rule_stand_again(machine):
    rule = point_of(machine).setpoints.trip.value
    row = set_on(machine)
    override_undo(override=row, expected_version=2, author=row.author, now=NOW)
    assert point_of(machine).setpoints.trip.value == rule
    with pytest.raises(OverrideGone):
        override_undo(override=row, expected_version=3, author=row.author, now=NOW)


def test_a_moved_ground_asks_again_until_it_is_confirmed(machine):
    row = set_on(machine)
    faster = {**machine.description, "pinions": [dict(each) for each in machine.description["pinions"]]}
    faster["pinions"][0]["speed"] = "18300 rpm"
    faster["pinions"][0].pop("teeth", None)
    machine_update(machine=machine, description=faster, expected_version=2, author=row.author, now=NOW)
    machine.refresh_from_db()
    found = machine_proposal(machine).overrides[0]
    assert found.state == "confirm again"
    assert "18200" in found.note
    confirmed = override_confirm(override=row, expected_version=3, author=UserFactory(), now=NOW)
    assert confirmed.speed_rpm == 18300.0
    assert confirmed.reason == row.reason
    assert machine_proposal(machine).overrides[0].state == "in force"


def test_an_item_that_goes_is_listed_and_cannot_be_confirmed(machine):
    row = set_on(machine, "P2/P2-1/radial", "trip", 35.0)
    fewer = {**machine.description, "pinions": machine.description["pinions"][:1], "stage_count": 2}
    machine_update(machine=machine, description=fewer, expected_version=2, author=row.author, now=NOW)
    machine.refresh_from_db()
    assert machine_proposal(machine).overrides[0].state == "item gone"
    with pytest.raises(OverrideGone):
        override_confirm(override=row, expected_version=3, author=row.author, now=NOW)
    override_undo(override=row, expected_version=3, author=row.author, now=NOW)


@pytest.mark.parametrize(
    ("item", "field", "value", "reason", "path"),
    [
        ("P9/P9-1/radial", "trip", 41.0, "r", "item"),
        (POINT, "trip", 41.0, "r", "item"),
        (POINT, "added", True, "r", "item"),
        (GROUP, "trip", -1.0, "r", "value"),
        (GROUP, "voting", "9oo9", "r", "value"),
        (GROUP, "colour", 1, "r", "field"),
        (GROUP, "trip", 41.0, "", "reason"),
    ],
)
def test_what_cannot_be_set_is_refused_with_its_place_and_nothing_is_kept(
    item, field, value, reason, path, machine
):
    with pytest.raises(InputErrors) as caught:
        set_on(machine, item, field, value, reason)
    assert caught.value.problems[0].path == path
    assert not Override.objects.exists()
    assert Machine.objects.get().version == 1


def test_an_old_page_changes_nothing(machine):
    set_on(machine)
    with pytest.raises(StaleVersion):
        override_set(
            machine=machine,
            expected_version=1,
            item=GROUP,
            field="trip",
            value=39.0,
            reason="late",
            author=UserFactory(),
            now=NOW,
        )
    assert Override.objects.get(undone_at=None).value == 41.0


def test_values_are_typed_as_an_engineer_writes_them(machine):
    item = item_of(machine_proposal(machine), GROUP, "trip")
    assert typed_value(item, "41") == 41.0
    assert typed_value(item, "1.6 mil p-p") == pytest.approx(40.64)
    with pytest.raises(InputErrors) as caught:
        typed_value(item, "41 bar")
    assert caught.value.problems[0].allowed == "a number above 0, in µm unless another unit is named"
    axial = item_of(machine_proposal(machine), "BG/axial", "trip")
    assert (axial.unit, axial.kind) == ("mm", "length")


def test_the_pages_show_the_rules_value_beside(engineer, machine, client):
    rule = point_of(machine).setpoints.trip.value
    edit = url("override-edit", machine)
    page = client.get(edit, {"item": GROUP, "field": "trip"})
    assert f"{rule:g} µm p-p" in page.content.decode()
    answer = client.post(
        f"{edit}?item={GROUP}&field=trip",
        {"value": "41 µm", "reason": "<b>clause</b> 7.3", "version": machine.version},
    )
    assert answer.status_code == 302
    show = client.get(url("machine-show", machine)).content.decode()
    assert f"set; rule {rule:g} µm p-p" in show
    assert "<b>clause</b>" not in show
    for page in (url("override-list", machine), url("point-show", machine, POINT)):
        body = client.get(page).content.decode()
        assert f"{rule:g} µm p-p" in body
        assert "&lt;b&gt;clause&lt;/b&gt; 7.3" in body


def test_a_mistake_keeps_what_was_typed_and_a_stale_form_says_so(engineer, machine, client):
    address = f"{url('override-edit', machine)}?item={GROUP}&field=trip"
    answer = client.post(address, {"value": "a lot", "reason": "why not", "version": 1})
    assert answer.status_code == 422
    assert b'value="a lot"' in answer.content
    assert b"why not" in answer.content
    set_on(machine, value=40.0)
    answer = client.post(address, {"value": "41", "reason": "late", "version": 1})
    assert answer.status_code == 409
    assert b'name="version" value="2"' in answer.content
    assert client.post(address, {"value": "41", "reason": "late", "version": 2}).status_code == 302


def test_where_another_saves_between_reading_and_writing_the_page_shows_theirs(
    engineer, machine, client, monkeypatch
):
    address = f"{url('override-edit', machine)}?item={GROUP}&field=trip"
    another = member(machine.project, Role.ENGINEER)

    def moved_first(**how):
        monkeypatch.undo()
        set_on(Machine.objects.get(pk=machine.pk), value=40.0, reason="<i>first</i>", author=another)
        return override_set(**how)

    monkeypatch.setattr(overrides_view, "override_set", moved_first)
    answer = client.post(address, {"value": "41", "reason": "late", "version": 1})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert f"{another} changed this machine meanwhile" in page
    assert "<dt>Stands now</dt><dd>40 µm p-p</dd>" in page
    assert f"<dt>Set by</dt><dd>{another}, 2026-03-02: &lt;i&gt;first&lt;/i&gt;</dd>" in page
    assert 'name="version" value="2"' in page
    assert 'name="value" value="41"' in page


def test_where_another_struck_the_point_meanwhile_the_page_says_who_and_keeps_what_was_typed(
    engineer, machine, client
):
    set_on(machine, POINT, "struck", True, reason="no room")
    address = f"{url('override-edit', machine)}?item={POINT}&field=struck"
    answer = client.post(address, {"reason": "not asked for", "version": 1})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert f"{POINT} is no longer in the proposal" in page
    assert "<dt>Set by</dt><dd>A. Person, 2026-03-02: no room</dd>" in page
    assert "not asked for</textarea>" in page


def test_confirming_and_undoing_from_the_list(engineer, machine, client):
    row = set_on(machine)
    address = url("override-answer", machine, row.pk, "undo")
    client.post(address, {"version": 1})
    assert Override.objects.filter(undone_at=None).exists(), "an old list undoes nothing"
    client.post(address, {"version": 2})
    assert not Override.objects.filter(undone_at=None).exists()
    assert client.post(address, {"version": 3}).status_code == 302


@pytest.mark.parametrize("field", ["struck", "added", "voting", "tip", "chain", "tag", "angle", "delay"])
def test_every_form_opens(field, engineer, machine, client):
    item = GROUP if field in ("voting", "delay") else POINT
    page = client.get(
        url("override-edit", machine), {"field": field, "item": "" if field == "added" else item}
    )
    assert page.status_code == 200
    assert client.get(url("override-edit", machine), {"field": "colour"}).status_code == 404


def test_pages_cost_the_same_queries_however_many_overrides(
    engineer, machine, client, django_assert_num_queries
):
    for page, count in (("override-list", 8), ("machine-show", 8)):
        with django_assert_num_queries(count):
            client.get(url(page, machine))
    for item in ("P1/P1-1/radial", "P1/P1-2/radial", "P2/P2-1/radial"):
        set_on(machine, item)
    for page, count in (("override-list", 8), ("machine-show", 8)):
        with django_assert_num_queries(count):
            client.get(url(page, machine))


def test_what_an_override_would_change_is_shown_before_it_is_set(engineer, machine, client):
    address = f"{url('override-edit', machine)}?item={GROUP}&field=trip"
    htmx = {"HX-Request": "true"}
    shown = client.post(address, {"value": "41", "do": "show"}, headers=htmx)
    assert b"1 setpoint changed" in shown.content
    assert b"<html" not in shown.content
    assert b"<html" in client.post(address, {"value": "41", "do": "show"}).content
    assert b"found" in client.post(address, {"value": "a lot", "do": "show"}, headers=htmx).content
    strike = f"{url('override-edit', machine)}?item={POINT}&field=struck"
    assert b"1 point fewer" in client.post(strike, {"do": "show"}, headers=htmx).content
    assert not Override.objects.exists()


def test_a_struck_point_is_named_among_the_points(engineer, machine, client):
    set_on(machine, POINT, "struck", True, reason="no room")
    body = client.get(url("machine-show", machine)).content.decode()
    assert f"{POINT}, struck by A. Person, 2026-03-02: no room" in body


def test_a_value_that_cannot_be_read_and_a_missing_reason_are_told_together(engineer, machine, client):
    address = f"{url('override-edit', machine)}?item={GROUP}&field=trip"
    page = client.post(address, {"value": "forty", "version": machine.version})
    assert page.status_code == 422
    assert [problem.path for problem in page.context["problems"]] == ["value", "reason"]
    assert "Set to</a>: found" in page.content.decode()


def test_the_reasoning_of_a_trip_set_by_hand_names_who_set_it_and_what_the_rule_gives(
    engineer, machine, client
):
    set_on(machine, GROUP, "trip", 41.0, reason="Clause 7.3.")
    page = client.get(url("point-show", machine, POINT))
    told = page.context["working"].reasoning.splitlines()
    heading = re.findall(r"<h3>(?:Alarm|Trip) .*?</h3>", page.content.decode())
    assert ["set; rule" in text for text in heading] == [False, True]
    by = r", trip 41.µm p-p: set by A\. Person on 2026-03-02 in place of the rule's \d+.µm p-p: Clause 7\.3; "
    assert re.search(by, told[1])
    assert "set by" not in told[0]


def test_a_struck_point_is_told_as_struck(engineer, machine, client):
    address = f"{url('override-edit', machine)}?item={POINT}&field=struck"
    done = client.post(address, {"reason": "no room", "version": machine.version}, follow=True)
    assert f"Struck: {POINT}." in done.content.decode()


@pytest.mark.parametrize(
    ("item", "field", "told"),
    [
        ("nope", "trip", "no voting group &quot;nope&quot; whose trip could be set"),
        ("<script>x</script>", "tag", "&lt;script&gt;"),
        ("P1/P1-1/radia", "trip", "Set the trip of P1/P1-1/radial</a>, whose key is much like it"),
        ("P1/phase", "trip", "but it has no trip that could be set"),
        (GROUP, "tag", "but it has no tag that could be set"),
        ("", "struck", "The address names no point"),
        ("x" * 3000, "angle", "whose angle could be set"),
    ],
)
def test_an_item_that_is_not_there_is_named_with_what_may_be_done(
    item, field, told, engineer, machine, client
):
    address = f"{url('override-edit', machine)}?{urlencode({'item': item, 'field': field})}"
    posted = {"value": "41", "reason": "clause 7.3", "version": machine.version}
    for page in (client.get(address), client.post(address, posted)):
        body = page.content.decode()
        assert page.status_code == 404
        assert told in body
        assert "Choose a point from the proposal" in body
        assert "<script>x" not in body
        assert 'name="reason"' not in body
    assert not Override.objects.exists()


def test_the_value_of_a_struck_point_says_who_struck_it(engineer, machine, client):
    set_on(machine, POINT, "struck", True, reason="no room")
    page = client.get(url("override-edit", machine), {"item": POINT, "field": "angle"})
    assert page.status_code == 404
    assert f"{POINT} was struck by A. Person, 2026-03-02: no room." in page.content.decode()
