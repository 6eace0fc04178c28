"""A draft in the browser: only what is told is sent, and yet rows just added and fields cleared are kept."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import UserFactory, machine_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def machine(project):
    return machine_of(project, author=UserFactory(), name="contract_example")


@pytest.fixture
def draft(signed_in, live_server, machine):
    signed_in.goto(live_server.url + reverse("projects:machine-edit", args=[machine.project_id, machine.pk]))
    return signed_in


def is_shown(response):
    """Whether a response is to a look at what would change, which keeps what is typed."""
    return response.request.method == "POST" and '"do":"show"' in (response.request.post_data or "")


def test_a_row_just_added_is_there_after_reloading(draft, console):
    row = draft.get_by_role("group", name="Pinion P3")
    expect(row).to_have_count(0)
    with draft.expect_response(is_shown) as answered:
        draft.get_by_role("button", name="Add a pinion").click()
    assert answered.value.ok
    told = answered.value.request.post_data_json
    assert told["pinions[2].name"] == ""
    assert "pinions[2].teeth" not in told, "what is blank is not sent"
    expect(draft.locator('[name="pinions[2].name"]')).to_be_visible()
    draft.reload()
    expect(draft.locator('[name="pinions[2].name"]')).to_be_visible()
    draft.locator("#f-devices > summary").click()
    with draft.expect_response(is_shown):
        draft.locator('button[value="add:devices"]').click()
    expect(draft.locator("#f-devices .item")).to_have_count(1)
    draft.reload()
    expect(draft.locator("#f-devices .item")).to_have_count(1)
    assert console == []


def test_a_field_that_was_cleared_is_shown_as_a_change_and_stays_cleared(draft, console):
    clearance = draft.locator('[name="pinions[1].diametral_clearance"]')
    draft.locator("details", has=clearance).last.locator("summary").click()
    expect(clearance).to_have_value("0.08 mm")
    with draft.expect_response(is_shown) as answered:
        clearance.fill("")
    assert answered.value.ok
    causes = draft.get_by_role("complementary", name="What would change").locator(".causes li")
    expect(causes).to_have_count(1)
    expect(causes).to_contain_text(re.compile("clearance of P2: was 0.08.mm", re.IGNORECASE))
    draft.reload()
    expect(clearance).to_have_value("")
    expect(causes).to_have_count(1)
    assert console == []


def test_a_row_taken_out_is_kept_after_the_look_that_was_under_way(draft, console):
    held = []

    def slow(route):
        told = route.request.post_data or ""
        if route.request.method == "POST" and '"do":"show"' in told and not held:
            held.append(route)
        else:
            route.continue_()

    draft.route("**/description/", slow)
    with draft.expect_request(lambda request: '"do":"show"' in (request.post_data or "")):
        draft.locator('[name="pinions[0].name"]').fill("P1")
        draft.locator('[name="pinions[0].speed"]').fill("18 300 rpm")
    draft.get_by_role("button", name="Remove Pinion P1").click()
    expect(draft.locator('[name="pinions[1].name"]')).to_have_count(1)
    held[0].continue_()
    expect(draft.locator('[name="pinions[1].name"]')).to_have_count(0)
    expect(draft.get_by_text("Kept as typed, not saved.")).to_be_visible()
    draft.reload()
    expect(draft.locator('[name="pinions[1].name"]')).to_have_count(0)
    assert console == []
