"""Comments out as a sheet and a workbook, and in again from a workbook or a returned copy."""

import secrets
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.downloads import attachment
from specapp.core.roles import Right
from specapp.documents import comment_sheet, comment_workbook
from specapp.documents.annotations import LARGEST_BYTES
from specapp.documents.registry import PDF, XLSX
from specapp.domain.problems import NOTHING, InputErrors, Problem
from specapp.projects.views.unreadable import shows_problems
from specapp.review.audience import audiences_of
from specapp.review.codes import reply_codes
from specapp.review.errors import NotNow
from specapp.review.exchange_papers import (
    Outgoing,
    choices_of,
    comment_sheet_of,
    sheet_options,
    ticket_of,
)
from specapp.review.exchange_reading import COMMENT, NOTICE, REPLY, Kinds, brought, known_ids
from specapp.review.models import Category, Discipline, StagedReview, State
from specapp.review.selectors import Filter
from specapp.review.services.exchange import (
    Landed,
    exchange_drop,
    exchange_land,
    exchange_stage,
    staged_problems,
)
from specapp.review.views.common import Desk, desk_of, stands
from specapp.revisions.services.rendering import file_part

BRING, LAND, DROP = "bring", "land", "drop"
_MOST_SHOWN = 300
_KINDS = ("pdf", "xlsx")


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def exchange_show(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Offer the papers that go out; posted, take a file, land what it brought, or drop it."""
    right = Right.COMMENT if request.method == "POST" else Right.READ_COMMENTS
    # What comes in says itself which revision it is of; what goes out is laid beside one.
    desk = desk_of(request, project_id, machine_id, right, of_machine=request.method == "POST")
    if request.method != "POST":
        return _page(request, desk)
    step = request.POST.get("do", "")
    if step == LAND:
        return _land(request, desk)
    if step == DROP:
        exchange_drop(machine=desk.machine, author=request.user)
        messages.success(request, "Dropped. Nothing was taken from the file.")
        return redirect("review:exchange", *desk.place)
    try:
        name, data, kinds = _upload(request, desk)
        found = brought(desk, request.user, data, kinds)
    except InputErrors as errors:
        return _page(request, desk, errors.problems, 422)
    exchange_stage(machine=desk.machine, found=found, name=name, author=request.user, now=timezone.now())
    return redirect("review:exchange", *desk.place)


def _upload(request: HttpRequest, desk: Desk) -> tuple[str, bytes, Kinds]:
    """Return what was posted. Raises `InputErrors` with every problem."""
    problems = []
    file = request.FILES.get("file")
    if file is None:
        problems.append(Problem("file", NOTHING, "a comment workbook, or a returned copy of an issued PDF"))
    elif file.size > LARGEST_BYTES:
        allowed = f"at most {LARGEST_BYTES // 1024 // 1024} MB"
        problems.append(Problem("file", f"{file.size / 1024 / 1024:.1f} MB", allowed))
    audiences = audiences_of(desk.access)
    asked = {"category": Category.choices, "discipline": Discipline.choices, "audience": audiences}
    told = {name: request.POST.get(name, choices[0][0]) for name, choices in asked.items()}
    for name, choices in asked.items():
        if told[name] not in dict(choices):
            problems.append(Problem(name, told[name][:40], ", ".join(label for _, label in choices)))
    if problems:
        raise InputErrors(problems)
    assert file is not None
    return file.name, file.read(), Kinds(**told)


def _land(request: HttpRequest, desk: Desk) -> HttpResponse:
    staged = _staged(request, desk)
    shown = request.POST.get("brought", "")
    if staged is None or staged.brought_at.isoformat() != shown:
        told = "What was shown has landed already, or another file has taken its place."
        return _page(request, desk, [], 409, told)
    try:
        landed = exchange_land(
            staged=staged,
            codes=reply_codes(desk.access.project),
            may_answer=desk.may_answer,
            author=request.user,
            now=timezone.now(),
        )
    except NotNow as refused:
        return _page(request, desk, [], 409, str(refused))
    messages.success(request, _landed_words(landed))
    return redirect("review:comment-list", *desk.place)


def _landed_words(landed: Landed) -> str:
    parts = [
        f"{_counted(landed.comments, 'new comment')} and {_counted(landed.replies, 'new reply')} landed."
    ]
    if landed.known:
        parts.append(f"{landed.known} were here already.")
    if landed.refused:
        parts.append(f"{landed.refused} did not land: their comments were closed meanwhile.")
    return " ".join(parts)


def _counted(count: int, word: str) -> str:
    plural = f"{word[:-1]}ies" if word.endswith("y") else f"{word}s"
    return f"{count} {word if count == 1 else plural}"


def _staged(request: HttpRequest, desk: Desk) -> StagedReview | None:
    rows = StagedReview.objects.select_related("machine__project")
    return rows.filter(machine=desk.machine, person=request.user).first()


def _page(
    request: HttpRequest, desk: Desk, problems: Any = (), status: int = 200, told: str = ""
) -> HttpResponse:
    context = desk.context(request) | {
        "problems": problems,
        "told": told,
        "staged": None,
        "audiences": audiences_of(desk.access),
        "categories": Category.choices,
        "disciplines": Discipline.choices,
        "category": request.POST.get("category", Category.MINOR),
        "discipline": request.POST.get("discipline", Discipline.INSTRUMENTS),
        "audience": request.POST.get("audience", ""),
        "states": State.choices,
        "stands": stands(desk.machine, desk.revisions()),
        "largest": LARGEST_BYTES // 1024 // 1024,
    }
    staged = _staged(request, desk) if desk.may_comment else None
    if staged is not None:
        context |= _preview(desk, staged)
    return render(request, "review/exchange.html", context, status=status)


def _preview(desk: Desk, staged: StagedReview) -> dict[str, Any]:
    """Return what would land, what is here already, and what cannot land."""
    known = known_ids(desk, staged.lines)
    told = [line for line in staged.lines if line["kind"] != NOTICE]
    fresh = [line for line in told if line["origin_id"] not in known]
    answers = [reply for line in told for reply in line.get("replies", ())]
    fresh_answers = [reply for reply in answers if reply["origin_id"] not in known]
    replies = [line for line in fresh if line["kind"] == REPLY]
    comments = [line for line in fresh if line["kind"] == COMMENT]
    later = [
        line
        for line in told
        if line["origin_id"] in known
        and any(reply["origin_id"] not in known for reply in line.get("replies", ()))
    ]
    return {
        "staged": staged,
        "brought": staged.brought_at.isoformat(),
        "notices": [line["text"] for line in staged.lines if line["kind"] == NOTICE],
        "new_replies": replies[:_MOST_SHOWN],
        "new_comments": [_shown(line) for line in (*comments, *later)][:_MOST_SHOWN],
        "reply_count": len(replies) + len(fresh_answers),
        "comment_count": len(comments),
        "known_count": len(told) - len(fresh) + len(answers) - len(fresh_answers),
        "cell_problems": staged_problems(staged),
        "lands": bool(fresh or fresh_answers),
    }


def _shown(line: dict[str, Any]) -> dict[str, Any]:
    categories, disciplines = dict(Category.choices), dict(Discipline.choices)
    return line | {
        "kind_words": f"{categories.get(line['category'], '')}, {disciplines.get(line['discipline'], '')}",
        "on_drawing": bool(line["place"]["scene"]),
    }


# Papers that go out


@require_safe
@shows_problems
def exchange_file(request: HttpRequest, project_id: int, machine_id: int, kind: str) -> HttpResponse:
    """Return the comments for an audience as a sheet or as a workbook."""
    desk = desk_of(request, project_id, machine_id)
    if kind not in _KINDS:
        raise Http404
    audiences = audiences_of(desk.access)
    audience = request.GET.get("for", audiences[0][0])
    if audience not in dict(audiences):
        raise PermissionDenied("Your role does not address this audience.")
    wanted = Outgoing(audience, Filter.of(request.GET))
    sheet, options = comment_sheet_of(desk, request.user, wanted), sheet_options(desk, request.user)
    if kind == "pdf":
        data, media_type = comment_sheet.render(sheet, options), PDF
    else:
        ticket = ticket_of(desk, wanted, secrets.token_hex(8))
        data, media_type = comment_workbook.render(sheet, options, ticket, choices_of(desk)), XLSX
    stand = f"_rev_{file_part(desk.revision.label)}" if desk.revision else ""
    name = f"{file_part(desk.machine.tag)}{stand}_comments_{audience.lower()}.{kind}"
    return attachment(data, media_type, name)
