"""An enquiry's rows as the records that forms, documents and checks work with."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import msgspec

from specapp.bids.models import Amendment, Enquiry
from specapp.bids.models import Requirement as Row
from specapp.domain.proposal import Proposal
from specapp.evaluation.enquiry import DOCUMENTS, ITEMS, EnquirySheet, PricedItem, ScopeRow, VendorDocument
from specapp.evaluation.requirements.asked import DEFAULT_OWNERS, Asked
from specapp.evaluation.requirements.generating import requirements_of
from specapp.evaluation.requirements.requirement import GROUPS, Requirement, RequirementSet
from specapp.revisions.content import bytes_of, content_of
from specapp.revisions.models import Issue

METHODS = {
    "lowest_evaluated": "lowest evaluated price among acceptable offers",
    "weighted": "weighted technical score and price",
}
# An added requirement stands with its group, wherever its row is.
_GROUP_PLACES = {group: place for place, group in enumerate(GROUPS)}
DEFAULT_TERMS: dict[str, Any] = {
    "owners": list(DEFAULT_OWNERS),
    "needed_weeks": None,
    "validity_days": 90,
    "site_days": 5,
    "items": [msgspec.to_builtins(each) for each in ITEMS],
    "settings": {
        "currency": "USD",
        "method": "lowest_evaluated",
        "pass_mark": 75,
        "missing_items_from": "acceptable",
        "groups": {},
    },
}


def proposals_of(issue: Issue) -> list[Proposal]:
    """Return the frozen proposals of an issue, by tag."""
    rows = issue.revisions.select_related("machine").order_by("machine__tag", "pk")
    return [content_of(row.checksum).proposal for row in rows]


def generated(issue: Issue, terms: dict[str, Any]) -> tuple[RequirementSet, list[dict[str, Any]]]:
    """Return what is asked about the machines of an issue, and the scope of each link."""
    proposals = proposals_of(issue)
    asked = requirements_of(
        Asked(
            proposals,
            owners=tuple(terms["owners"]),
            needed_weeks=terms["needed_weeks"],
            validity_days=terms["validity_days"],
            site_days=terms["site_days"],
        )
    )
    links: dict[str, list[Any]] = {}
    for proposal in proposals:
        for row in proposal.responsibility:
            links.setdefault(row.link, [row.text, []])[1].append((str(proposal.machine["tag"]), row.owner))
    scope = [{"link": link, "text": text, "owners": owners} for link, (text, owners) in links.items()]
    return asked, scope


def requirement_of(row: Row) -> Requirement:
    return msgspec.convert(row.current, Requirement, strict=False)


def asked_of(enquiry: Enquiry) -> RequirementSet:
    """Return what is asked as it stands: left-out requirements gone, spares as many as the enquiry wants."""
    base = msgspec.convert(enquiry.base["asked"], RequirementSet, strict=False)
    rows = sorted(
        map(requirement_of, enquiry.requirements.filter(is_left_out=False)),
        key=lambda each: _GROUP_PLACES.get(each.group, len(_GROUP_PLACES)),
    )
    spares = enquiry.terms.get("spares") or {}
    bill = tuple(
        msgspec.structs.replace(item, spares=spares.get(item.key, item.spares)) for item in base.bill
    )
    return msgspec.structs.replace(base, requirements=tuple(rows), bill=bill)


def group_weights(asked: RequirementSet, terms: dict[str, Any]) -> dict[str, float]:
    """Return the weight of each group that has requirements, together 100."""
    told = terms["settings"].get("groups") or {}
    present = list(dict.fromkeys(each.group for each in asked.requirements))
    raw = {group: float(told.get(group, GROUPS[group][1] if group in GROUPS else 0)) for group in present}
    total = sum(raw.values()) or 1.0
    return {group: 100 * weight / total for group, weight in raw.items()}


def closing_text(closes_at: datetime | None, time_zone: str) -> str:
    if closes_at is None:
        return "not set"
    return f"{closes_at.astimezone(ZoneInfo(time_zone)):%Y-%m-%d %H:%M} ({time_zone})"


def sheet_of(enquiry: Enquiry, number: int, issued_on: str) -> EnquirySheet:
    """Return the enquiry as it would go out now; nothing in it depends on who is asked."""
    asked = asked_of(enquiry)
    terms = enquiry.terms
    weights = group_weights(asked, terms)
    documents = terms.get("documents") or [msgspec.to_builtins(each) for each in DOCUMENTS]
    return EnquirySheet(
        reference=enquiry.reference,
        title=enquiry.title,
        project=str(enquiry.project),
        amendment=number,
        issued_on=issued_on,
        closes=closing_text(enquiry.closes_at, enquiry.project.time_zone),
        asked=asked,
        documents=tuple(msgspec.convert(each, VendorDocument) for each in documents),
        clauses=tuple((terms.get("clauses") or {}).items()),
        items=tuple(msgspec.convert(each, PricedItem) for each in terms["items"]),
        scope=tuple(msgspec.convert(each, ScopeRow, strict=False) for each in enquiry.base["scope"]),
        currency=terms["settings"]["currency"],
        method=METHODS[terms["settings"]["method"]],
        weights=tuple(
            (GROUPS[group][0] if group in GROUPS else group, round(weight, 2))
            for group, weight in weights.items()
        )
        if enquiry.discloses_weights
        else (),
        one_person_opening=enquiry.one_person_opening,
    )


def issued_sheet(amendment: Amendment) -> EnquirySheet:
    return msgspec.json.decode(bytes_of(amendment.sheet_id), type=EnquirySheet)
