"""Secrets are planted in every place that is not a bidder's; whatever a bidder can get holds none of them.

The walk is of tests/health/walking.py; logs and mail are searched as well.
"""

import logging
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from specapp.bids.models import Bidder, Envelope
from tests.api.asking import token_for
from tests.bids.planting import CONTACT, LATE, MAIL, RIVAL, SECRETS, SIGNED, planted
from tests.health.walking import every_address, found_in, walk

pytestmark = pytest.mark.django_db


def test_a_bidder_gets_none_of_the_planted_secrets(client, caplog):
    caplog.set_level(logging.DEBUG)
    own, person = planted()
    secrets = [*SECRETS, Bidder.objects.get(name=RIVAL).code]
    secrets += Envelope.objects.exclude(offer__bidder=own).values_list("sha256", flat=True)
    _, token = token_for(own.enquiry.project, person)
    addresses = sorted(every_address())
    client.force_login(person)
    assert walk(client, secrets, ["/", *addresses]) > 20
    assert own.acknowledgements.count() == 1
    of_programs = [each for each in addresses if each.startswith("/api/")]
    walk(Client(), secrets, of_programs, authorization=f"Bearer {token}")
    assert [each for each in SECRETS if each.casefold() in caplog.text.casefold()] == []
    assert [each for each in secrets if any(each in str(row.message()) for row in mail.outbox)] == []
    # The walk finds what is there: whoever buys is told on the very pages that a bidder may not open.
    client.force_login(own.enquiry.created_by)
    rival = Bidder.objects.get(name=RIVAL)
    told = b""
    for name, rest in (("enquiry-show", []), ("bidder-show", [rival.pk])):
        place = reverse(f"bids:{name}", args=[own.enquiry.project_id, own.enquiry_id, *rest])
        told += client.get(place).content
    assert {RIVAL, CONTACT, MAIL, LATE, SIGNED} <= set(found_in(told, secrets))


@pytest.mark.parametrize("packed", [False, True])
def test_what_is_packed_is_searched(packed):
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED if packed else ZIP_STORED) as archive:
        archive.writestr("docProps/core.xml", f"<dc:creator>{RIVAL.upper()}</dc:creator>")
    assert found_in(out.getvalue(), SECRETS) == [RIVAL]
