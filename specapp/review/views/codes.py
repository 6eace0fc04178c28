"""The reply codes of a project, each mapped to may proceed, resubmit and who closes."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors, Problem
from specapp.projects.access import Access, project_or_404
from specapp.review.codes import MOST_CODES, codes_checksum, reply_codes, reply_codes_set
from specapp.review.errors import StaleCodes
from specapp.review.models import ReplyCode
from specapp.review.round_forms import CodeFormSet

_PREFIX = "code"


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
def code_list(request: HttpRequest, project_id: int) -> HttpResponse:
    right = Right.MANAGE_PROJECT if request.method == "POST" else Right.READ_DRAFT
    access = project_or_404(request, project_id, right)
    if request.method != "POST":
        kept = take(request)
        return _page(request, access, CodeFormSet(kept, prefix=_PREFIX) if kept else _stored(access))
    common = request.POST.get("do") == "common"
    lines = CodeFormSet(None if common else request.POST, prefix=_PREFIX)
    if not common and not lines.is_valid():
        problems = [
            Problem(f"line {number}, {name.replace('_', ' ')}", "what was typed", " ".join(errors))
            for number, line in enumerate(lines, 1)
            for name, errors in line.errors.items()
        ] or [Problem("form", "no codes", "the form of this page")]
        return _page(request, access, _stored(access), problems, status=422)
    told = [] if common else [line.cleaned_data for line in lines if line.says_something]
    try:
        reply_codes_set(
            project=access.project,
            codes=[ReplyCode(project=access.project, place=place, **each) for place, each in enumerate(told)],
            author=request.user,
            now=timezone.now(),
            expected=request.POST.get("was", ""),
        )
    except InputErrors as errors:
        return _page(request, access, lines, errors.problems, status=422)
    except StaleCodes:
        stale = [
            Problem("codes", "others than were shown", "what stands below beside what you typed; save again")
        ]
        return _page(request, access, lines, stale, status=409, is_stale=True)
    messages.success(request, "Saved. Replies given keep the meaning they had.")
    return redirect("review:code-list", project_id)


def _stored(access: Access) -> Any:
    lines = [
        {
            "code": code.code,
            "meaning": code.meaning,
            "may_proceed": code.may_proceed,
            "resubmit": code.resubmit,
            "closes": code.closes,
        }
        for code in reply_codes(access.project)
    ]
    empty = {"closes": lines[0]["closes"]}
    return CodeFormSet(initial=(lines + [empty] * 3)[:MOST_CODES], prefix=_PREFIX)


def _page(
    request: HttpRequest,
    access: Access,
    lines: Any,
    problems: Any = (),
    *,
    status: int = 200,
    is_stale: bool = False,
) -> HttpResponse:
    codes = reply_codes(access.project)
    context = {
        "access": access,
        "project": access.project,
        "codes": codes,
        "is_common": codes[0].pk is None,
        "lines": lines,
        "was": codes_checksum(codes),
        "problems": problems,
        "is_stale": is_stale,
        "most": MOST_CODES,
    }
    return render(request, "review/codes.html", context, status=status)
