"""What waits for a person in every project: answers, signatures, comments."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from specapp.review.my_reviews import my_machines
from specapp.review.reviewing import leading_rounds, waiting_rounds
from specapp.revisions.models import Part
from specapp.revisions.waiting import signatures_asked


@require_safe
def my_reviews(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    context = {
        "asked": waiting_rounds(request.user),
        "signatures": [(row, part, Part(part).label) for row, part in signatures_asked(request.user)],
        "leading": leading_rounds(request.user),
        "machines": my_machines(request.user, today),
        "today": today,
    }
    return render(request, "review/mine.html", context)
