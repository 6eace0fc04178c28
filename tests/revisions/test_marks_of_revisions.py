"""What a revision changes is marked in what is issued with it, and the marks are gone at the next issue."""

from unittest.mock import patch

import pytest

from specapp.revisions.content import bytes_of
from tests.revisions.issuing import described_anew, issued

pytestmark = pytest.mark.django_db

DRAWING = {"layout": "Machine drawing"}


def drawing_of(machine):
    with patch("specapp.revisions.services.rendering.DOCUMENT_TITLES", DRAWING):
        issue = issued(machine)
    return bytes_of(issue.documents.get(key="layout").file_id).decode()


def test_clouds_come_with_the_change_and_are_gone_at_the_next_issue(machine, engineer):
    first = drawing_of(machine)
    pinions = [dict(pinion) for pinion in machine.description["pinions"]]
    pinions[0] |= {"speed": "19000 rpm"}
    described_anew(machine, engineer, pinions=pinions)
    second, third = drawing_of(machine), drawing_of(machine)
    assert "Changed in revision B: P1" in second
    assert "Changed in revision" not in first
    assert "Changed in revision" not in third
