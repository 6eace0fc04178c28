"""One item that an offer left out: what the rule loads, what was decided, and deciding it."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.bids.access import enquiry_or_404, offer_or_404
from specapp.bids.comparing import evaluated
from specapp.bids.errors import Refused
from specapp.bids.judging import sheet_in_force
from specapp.bids.loading import currencies_of
from specapp.bids.loading_forms import LoadForm, RuleForm
from specapp.bids.models import Enquiry, Offer
from specapp.bids.presenting.money import money_text
from specapp.bids.services.loading import Load, cannot_load, load_decide
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.bids.views.evaluation import PRICED_AT
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors


@require_http_methods(["GET", "HEAD", "POST"])
def load_show(
    request: HttpRequest, project_id: int, enquiry_id: int, offer_id: int, key: str
) -> HttpResponse:
    """What an item counts that an offer left out; those who evaluate decide it until the recommendation."""
    right = Right.EVALUATE if request.method == "POST" else Right.READ_BIDS
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, right)
    offer = offer_or_404(enquiry, offer_id)
    items = sheet_in_force(enquiry).items if enquiry.amendments.exists() else ()
    item = next((each for each in items if each.key == key), None)
    if item is None:
        raise Http404
    decisions = list(offer.decided_loads.filter(item=key).order_by("-pk"))
    last = decisions[0] if decisions else None
    currencies = currencies_of(enquiry)
    is_decided = last is not None and last.amount is not None
    initial = (
        {"amount": f"{last.amount:.10g}", "currency": last.currency}
        if last is not None and is_decided
        else {}
    )
    context: dict[str, Any] = {
        "load_form": LoadForm(currencies=currencies, prefix="load", initial=initial),
        "rule_form": RuleForm(prefix="rule"),
    }
    status = 200
    if request.method == "POST":
        do = request.POST.get("do", "load")
        name = "rule_form" if do == "rule" else "load_form"
        form = context[name] = (
            RuleForm(request.POST, prefix="rule")
            if do == "rule"
            else LoadForm(request.POST, currencies=currencies, prefix="load")
        )
        if not form.is_valid():
            status = UNPROCESSABLE
        else:
            told = form.cleaned_data
            try:
                load_decide(
                    offer=offer,
                    item=key,
                    load=Load(told.get("amount"), told.get("currency", ""), told["reason"]),
                    seen=_seen(request),
                    author=request.user,
                    now=timezone.now(),
                )
            except Refused as refused:
                status, context["problem"] = CONFLICT, refused.text
            else:
                messages.success(request, "Decided." if do != "rule" else "The rule counts again.")
                return redirect("bids:evaluation-show", access.project.pk, enquiry.pk)
    return page(
        request,
        access,
        enquiry,
        "loading",
        status,
        offer=offer,
        item=item,
        decisions=decisions,
        seen=last.pk if last is not None else 0,
        is_decided=is_decided,
        hinders=cannot_load(enquiry, offer, key),
        **_counts(enquiry, offer, item.title),
        **context,
    )


def _counts(enquiry: Enquiry, offer: Offer, title: str) -> dict[str, Any]:
    """Return what the item counts now and by the rule, in words, where the prices are open."""
    if enquiry.stage not in PRICED_AT:
        return {}
    try:
        _, _, evaluation = evaluated(enquiry)
    except InputErrors as errors:
        return {"problems": errors.problems}
    result = next((each for each in evaluation.bidders if each.name == str(offer)), None)
    reason = None if result is None else result.reasons.items.get(title)
    if result is None or reason is None:
        return {}
    by_rule = reason.by_rule
    rule = (result.items[title], reason.how) if by_rule is None else (by_rule.amount, by_rule.how)
    return {
        "currency": evaluation.currency,
        "counts": money_text(result.items[title]),
        "rule_amount": money_text(rule[0]),
        "rule_how": rule[1],
    }


def _seen(request: HttpRequest) -> int:
    text = request.POST.get("seen", "")
    return int(text) if text.isdecimal() and len(text) < 18 else -1
