"""Every list of a page as a file: `?as=csv` or `?as=xlsx` at the page's own address.

The file has the rows that the page shows, under the page's own permission and filters; `list` names one of
several lists of a page, without it the first is meant.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.utils.safestring import SafeString

from specapp.core.downloads import attachment
from specapp.core.markup import escape
from specapp.documents.csv_files import csv_bytes
from specapp.documents.plain_workbook import plain_workbook
from specapp.documents.registry import CSV, XLSX
from specapp.documents.schedules import Schedule

_KINDS = {"csv": CSV, "xlsx": XLSX}
_LONGEST_SHEET_NAME = 31

Lists = Mapping[str, Schedule | Callable[[], Schedule]]


def list_file(request: HttpRequest, about: str, lists: Lists) -> HttpResponse | None:
    """Return the list that is asked for as a file, None where the page itself is.

    `lists` has each list by its key, or makes it; `about` is what the file is named after: a tag, a project's
    number.
    Raises `Http404` for a list that the page does not have and for another kind of file.
    """
    kind = request.GET.get("as")
    if kind is None or request.method == "POST":
        return None
    key = request.GET.get("list") or next(iter(lists), "")
    if kind not in _KINDS or key not in lists:
        raise Http404
    made = lists[key]
    schedule = made if isinstance(made, Schedule) else made()
    if kind == "csv":
        content = csv_bytes(schedule)
    else:
        content = plain_workbook([replace(schedule, name=schedule.name[:_LONGEST_SHEET_NAME])])
    name = "_".join(part for part in (safe_name(about), key) if part)
    return attachment(content, _KINDS[kind], f"{name}.{kind}")


def file_links(query: QueryDict, key: str, label: str) -> SafeString:
    """Return the links to a list as files; what the page is asked for stays asked for."""
    kept = query.copy()
    kept.pop("page", None)
    links = []
    for kind in _KINDS:
        kept["as"], kept["list"] = kind, key
        links.append(
            f'<a href="?{escape(kept.urlencode())}" download aria-label="{escape(label)} as {kind.upper()}">'
            f"{kind.upper()}</a>"
        )
    return SafeString(f'<span class="list-files">As a file: {", ".join(links)}</span>')


def safe_name(tag: str) -> str:
    """Return a tag as part of a file name: letters and digits kept, everything else a hyphen."""
    return "".join(char if char.isascii() and char.isalnum() else "-" for char in tag).strip("-")
