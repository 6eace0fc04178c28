"""Asking for every address of the application, and searching every byte of the answers for planted secrets.

Every address is asked for with every row that there is, and every link that a page shows is followed;
workbooks, archives and PDF files are searched unpacked.
"""

import re
from functools import lru_cache
from io import BytesIO
from itertools import islice, product
from zipfile import ZipFile

import pypdf
from django.apps import apps
from django.urls import NoReverseMatch, URLResolver, get_resolver, reverse

from specapp.bids.models import Bidder
from specapp.documents.enquiry_papers import PAPERS
from specapp.revisions.models import IssuedDocument
from tests.documents.reading import text_of

_LINK = re.compile(r'(?:href|action|src|hx-get)="(/[^"#]*)')


@lru_cache(maxsize=256)
def _parts(data):
    """Return a file and all that is packed in it, as text; several people get the same issued files."""
    texts = [data.decode("utf-8", "replace")]
    if data.startswith(b"PK"):
        with ZipFile(BytesIO(data)) as archive:
            texts += [archive.comment.decode("utf-8", "replace"), *archive.namelist()]
            texts += [text for name in archive.namelist() for text in _parts(archive.read(name))]
    if data.startswith(b"%PDF"):
        reader = pypdf.PdfReader(BytesIO(data))
        texts.append(text_of(data))
        texts.append(str(reader.metadata))
        texts += [str(reader.xmp_metadata and reader.xmp_metadata.dc_title)]
    return texts


def found_in(data, secrets):
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


def _codes(model):
    return list(model.objects.values_list("code", flat=True)[:4])


def _values():
    """Return what may stand in each named part of an address: every row of that name, and words."""
    rows = {
        f"{model._meta.model_name}_id": list(model.objects.values_list("pk", flat=True)[:3])
        for model in apps.get_models()
        if model._meta.pk.name == "id"
    }
    words = {
        "code": [code for model in (Bidder, IssuedDocument) for code in _codes(model)],
        "number": [0, 1, 2],
        "part": ["technical", "price"],
        "paper": list(PAPERS),
        "key": ["SIG-05"],
        "stage": ["decided", "recommended"],
        "name": ["machines", "specification", "data_sheet"],
        "kind": ["csv", "xlsx", "pdf"],
    }
    return {**rows, **words}


def _chosen(values, part):
    """Return what stands in a part of an address: rows of every model whose name ends like it."""
    alike = [row for name, rows in values.items() if name.endswith(part) for row in rows]
    return list(dict.fromkeys(alike)) or values["machine_id"]


def every_address(most=32):
    """Yield every address of the application with every row that there is, so many of each at most."""
    values = _values()
    for name, parts in _patterns():
        told = [_chosen(values, part) for part in parts]
        for chosen in islice(product(*told), most):
            try:
                yield reverse(name, kwargs=dict(zip(parts, chosen, strict=True)))
            except NoReverseMatch:
                continue


def walk(client, secrets, waiting, **headers):
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
            assert found_in(content, secrets) == [], address
            assert found_in(str(dict(answer.headers)).encode(), secrets) == [], address
            got += answer.status_code == 200
            if "text/html" in answer.headers.get("Content-Type", ""):
                waiting += _LINK.findall(content.decode())
    return got
