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
from specapp.bids.services.loading import Load, cannot_load, load_decide
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.bids.views.evaluation import PRICED_AT
from specapp.core.roles import Right
from specapp.core.whole_numbers import whole_number
from specapp.domain.problems import InputErrors
from specapp.evaluation.amounts import amount_text
from specapp.evaluation.enquiry import PricedItem
from specapp.projects.access import Access


@require_http_methods(["GET", "HEAD", "POST"])
def load_show(
    request: HttpRequest, project_id: int, enquiry_id: int, offer_id: int, key: str
) -> HttpResponse:
    """What an item counts that an offer left out; those who evaluate decide it until the recommendation."""
    right = Right.EVALUATE if request.method == "POST" else Right.READ_BIDS
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, right)
    offer = offer_or_404(enquiry, offer_id)
    item = _item_or_404(enquiry, key)
    if request.method != "POST":
        return _page(request, access, enquiry, offer, item)
    is_rule = request.POST.get("do") == "rule"
    if is_rule:
        form = RuleForm(request.POST, prefix="rule")
    else:
        form = LoadForm(request.POST, currencies=currencies_of(enquiry), prefix="load")
    shown = {"rule_form" if is_rule else "load_form": form}
    if not form.is_valid():
        return _page(request, access, enquiry, offer, item, UNPROCESSABLE, **shown)
    told = form.cleaned_data
    try:
        load_decide(
            offer=offer,
            item=key,
            load=Load(told.get("amount"), told.get("currency", ""), told["reason"]),
            seen=whole_number(request.POST.get("seen", ""), -1, digits=17),
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        return _page(request, access, enquiry, offer, item, CONFLICT, problem=refused.text, **shown)
    messages.success(request, "The rule counts again." if is_rule else "Decided.")
    return redirect("bids:evaluation-show", access.project.pk, enquiry.pk)


def _item_or_404(enquiry: Enquiry, key: str) -> PricedItem:
    items = sheet_in_force(enquiry).items if enquiry.amendments.exists() else ()
    item = next((each for each in items if each.key == key), None)
    if item is None:
        raise Http404
    return item


def _page(
    request: HttpRequest,
    access: Access,
    enquiry: Enquiry,
    offer: Offer,
    item: PricedItem,
    status: int = 200,
    **shown: Any,
) -> HttpResponse:
    """Show an item with what was decided about it by now, and the forms; `shown` are those filled in."""
    decisions = list(offer.decided_loads.filter(item=item.key).order_by("-pk"))
    last = decisions[0] if decisions else None
    initial = {}
    if last is not None and last.amount is not None:
        initial = {"amount": f"{last.amount:.10g}", "currency": last.currency}
    context = {
        "offer": offer,
        "item": item,
        "decisions": decisions,
        "seen": last.pk if last is not None else 0,
        "is_decided": bool(initial),
        "hinders": cannot_load(enquiry, offer, item.key),
        "load_form": LoadForm(currencies=currencies_of(enquiry), prefix="load", initial=initial),
        "rule_form": RuleForm(prefix="rule"),
        **_counts(enquiry, offer, item.title),
        **shown,
    }
    return page(request, access, enquiry, "loading", status, **context)


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
        "counts": amount_text(result.items[title]),
        "rule_amount": amount_text(rule[0]),
        "rule_how": rule[1],
    }
