"""Secrets are planted in every place that is not a bidder's; whatever a bidder can get holds none of them.

Every address of the application is asked for with every row that there is, every link that a page shows is
followed, by a browser and by a program; workbooks and PDF files are searched unpacked; so are logs and mail.
"""

import logging
import re
from io import BytesIO
from itertools import islice, product
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

import pypdf
import pytest
from django.apps import apps
from django.core import mail
from django.test import Client
from django.urls import NoReverseMatch, URLResolver, get_resolver, reverse

from specapp.bids.models import Bidder, Envelope
from specapp.documents.enquiry_papers import PAPERS
from tests.api.asking import token_for
from tests.bids.planting import CONTACT, LATE, MAIL, RIVAL, SECRETS, SIGNED, planted

pytestmark = pytest.mark.django_db

_LINK = re.compile(r'(?:href|action|src|hx-get)="(/[^"#]*)')
_MOST_OF_ONE = 32


def _parts(data):
    """Return a file and all that is packed in it, as text."""
    texts = [data.decode("utf-8", "replace")]
    if data.startswith(b"PK"):
        with ZipFile(BytesIO(data)) as archive:
            texts += [archive.comment.decode("utf-8", "replace"), *archive.namelist()]
            texts += [archive.read(name).decode("utf-8", "replace") for name in archive.namelist()]
    if data.startswith(b"%PDF"):
        reader = pypdf.PdfReader(BytesIO(data))
        texts += [page.extract_text() for page in reader.pages]
        texts.append(str(reader.metadata))
        texts += [str(reader.xmp_metadata and reader.xmp_metadata.dc_title)]
    return texts


def _found(data, secrets):
    whole = "\n".join(_parts(data)).casefold()
    return [each for each in secrets if each.casefold() in whole]


def _patterns(resolver=None, namespace=""):
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{pattern.namespace}:" if pattern.namespace else ""
            yield from _patterns(pattern, namespace + inner)
        elif pattern.name:
            yield namespace + pattern.name, list(pattern.pattern.converters) or _groups(pattern)


def _groups(pattern):
    return list(getattr(pattern.pattern.regex, "groupindex", ()))


def _values():
    """Return what may stand in each named part of an address: every row of that name, and words."""
    rows = {
        f"{model._meta.model_name}_id": list(model.objects.values_list("pk", flat=True)[:3])
        for model in apps.get_models()
        if model._meta.pk.name == "id"
    }
    words = {
        "code": list(Bidder.objects.values_list("code", flat=True)),
        "number": [0, 1, 2],
        "part": ["technical", "price"],
        "paper": list(PAPERS),
        "key": ["SIG-05"],
        "stage": ["decided", "recommended"],
        "name": ["machines", "specification", "data_sheet"],
        "kind": ["csv", "xlsx", "pdf"],
    }
    return {**rows, **words}


def _addresses():
    values = _values()
    for name, parts in _patterns():
        told = [values.get(part) or values.get("machine_id") for part in parts]
        for chosen in islice(product(*told), _MOST_OF_ONE):
            try:
                yield reverse(name, kwargs=dict(zip(parts, chosen, strict=True)))
            except NoReverseMatch:
                continue


def _walk(client, secrets, waiting, **headers):
    """Ask for every address and each link found on the way; return how many answers held something."""
    seen, got = {reverse("core:sign-out")}, 0
    while waiting:
        address = waiting.pop()
        if address in seen:
            continue
        seen.add(address)
        for ask in (client.get, client.post):
            answer = ask(address, headers=headers)
            assert answer.status_code < 500, address
            content = b"".join(answer) if answer.streaming else answer.content
            assert _found(content, secrets) == [], address
            assert _found(str(dict(answer.headers)).encode(), secrets) == [], address
            got += answer.status_code == 200
            if "text/html" in answer.headers.get("Content-Type", ""):
                waiting += _LINK.findall(content.decode())
    return got


def test_a_bidder_gets_none_of_the_planted_secrets(client, caplog):
    caplog.set_level(logging.DEBUG)
    own, person = planted()
    secrets = [*SECRETS, Bidder.objects.get(name=RIVAL).code]
    secrets += Envelope.objects.exclude(offer__bidder=own).values_list("sha256", flat=True)
    _, token = token_for(own.enquiry.project, person)
    addresses = sorted(_addresses())
    client.force_login(person)
    assert _walk(client, secrets, ["/", *addresses]) > 20
    assert own.acknowledgements.count() == 1
    of_programs = [each for each in addresses if each.startswith("/api/")]
    _walk(Client(), secrets, of_programs, authorization=f"Bearer {token}")
    assert [each for each in SECRETS if each.casefold() in caplog.text.casefold()] == []
    assert [each for each in secrets if any(each in str(row.message()) for row in mail.outbox)] == []
    # The walk finds what is there: whoever buys is told on the very pages that a bidder may not open.
    client.force_login(own.enquiry.created_by)
    rival = Bidder.objects.get(name=RIVAL)
    told = b""
    for name, rest in (("enquiry-show", []), ("bidder-show", [rival.pk])):
        place = reverse(f"bids:{name}", args=[own.enquiry.project_id, own.enquiry_id, *rest])
        told += client.get(place).content
    assert {RIVAL, CONTACT, MAIL, LATE, SIGNED} <= set(_found(told, secrets))


@pytest.mark.parametrize("packed", [False, True])
def test_what_is_packed_is_searched(packed):
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED if packed else ZIP_STORED) as archive:
        archive.writestr("docProps/core.xml", f"<dc:creator>{RIVAL.upper()}</dc:creator>")
    assert _found(out.getvalue(), SECRETS) == [RIVAL]
