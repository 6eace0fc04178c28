"""A proposal on one screen of a terminal: what an engineer wants to know before opening anything.

At most 100 columns and about 45 lines. A display in other units puts the converted value beside a
setting and never replaces it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import groupby
from textwrap import wrap

from specapp.cli.summary_points import point_lines
from specapp.cli.terminal import printable
from specapp.domain.proposal import Check, Proposal

WIDTH = 100
HEIGHT = 45
_LABEL = 11
_LEAST_CHECKS = 3


def summary(proposal: Proposal, display: str | None = None) -> str:
    """Return the summary, ending in a line feed. `display` is "si", "us" or None."""
    above = [*_title(proposal), *_verdict(proposal), "", *point_lines(proposal, display), ""]
    below = [*_bill(proposal), *_open_points(proposal), *_cautions(proposal)]
    room = max(_LEAST_CHECKS, HEIGHT - len(above) - len(below) - 2)
    lines = [*above, *_checks(proposal.checks, room), *below]
    return "".join(f"{cut(printable(line).rstrip(), WIDTH)}\n" for line in lines)


def fleet_line(proposal: Proposal) -> str:
    """Return a machine of a list on one line: tag, points, answers of the checks, open points."""
    results = Counter(check.result for check in proposal.checks)
    tag = str(proposal.machine["tag"])
    counts = (
        f"{len(proposal.points):4} points",
        f"{results['fail']:3} fail",
        f"{results['caution']:3} caution",
        f"{len(proposal.open_points):3} open",
    )
    service = str(proposal.machine["service_class"]).replace("_", " ")
    return printable(f"{cut(tag, 24):<24} {service:<13}{'  '.join(counts)}")


def cut(text: str, width: int) -> str:
    """Return a text that fits, its end replaced by an ellipsis where it does not."""
    return text if len(text) <= width else f"{text[: width - 1].rstrip()}…"


def labelled(label: str, text: str, most: int = 2) -> list[str]:
    """Return a text beside its label, on at most so many lines."""
    lines = wrap(printable(text), WIDTH - _LABEL) or [""]
    if len(lines) > most:
        lines = [*lines[: most - 1], cut(" ".join(lines[most - 1 :]), WIDTH - _LABEL)]
    return [f"{label if not number else '':<{_LABEL}}{line}" for number, line in enumerate(lines)]


def _title(proposal: Proposal) -> list[str]:
    machine = proposal.machine
    trains = machine.get("trains") or ()
    tag = f"{machine['tag']} {'/'.join(trains)}".strip()
    told = machine.get("title") or machine.get("service") or ""
    assumed = next((item.value for item in proposal.assumptions if item.field == "criticality"), "")
    classes = (str(machine["service_class"]).replace("_", " "), str(machine.get("criticality") or assumed))
    right = " · ".join(word for word in classes if word)
    left = cut(printable(f"{tag}   {told}").rstrip(), WIDTH - len(right) - 2)
    return [f"{left:<{WIDTH - len(right)}}{right}", "═" * WIDTH]


def _verdict(proposal: Proposal) -> list[str]:
    verdict = proposal.verdict
    governing = " · ".join(
        " ".join(filter(None, (each.standard, each.part and f"Part {each.part}", f"({each.edition})")))
        for each in proposal.governing
    )
    return [
        *labelled("proposed", verdict.proposed),
        *labelled("fails", verdict.fails),
        *labelled("needs you", verdict.needs_you),
        *labelled("next fact", verdict.next_fact),
        *labelled("standing", verdict.standing),
        *labelled("governing", governing, most=1),
    ]


def _checks(checks: Sequence[Check], room: int) -> list[str]:
    results = Counter(check.result for check in checks)
    words = (("pass", "pass"), ("caution", "caution"), ("fail", "fail"), ("not_evaluated", "not evaluated"))
    lines = [f"{'checks':<{_LABEL}}{' · '.join(f'{results[key]} {word}' for key, word in words)}"]
    told = [check for result in ("fail", "caution") for check in checks if check.result == result]
    grouped = [list(each) for _, each in groupby(told, key=lambda check: (check.result, check.check))]
    shown = grouped if len(grouped) <= room else grouped[: room - 1]
    lines += [_check_line(each) for each in shown]
    if len(shown) < len(grouped):
        rest = sum(len(each) for each in grouped[len(shown) :])
        lines.append(f"{'':<{_LABEL}}and {rest} more, all in the datasheet and in --format json")
    return [*lines, ""]


def _check_line(same: Sequence[Check]) -> str:
    first = same[0]
    more = f" and {len(same) - 1} more" if len(same) > 1 else ""
    return f"  {first.result:<{_LABEL - 2}}{first.check}, {first.subject}{more}: {first.text}"


def _bill(proposal: Proposal) -> list[str]:
    items = [f"{line.quantity} {line.item.replace('_', ' ')}" for line in proposal.bill_of_materials]
    return labelled("bill", " · ".join(items), most=3)


def _open_points(proposal: Proposal) -> list[str]:
    lines: list[str] = []
    for ask in ("maker", "owner", "purchaser", "supplier"):
        told = [point for point in proposal.open_points if point.ask == ask]
        if told:
            needs = _folded(point.needs or point.key for point in told)
            lines += labelled(ask, f"to be asked for {', '.join(needs)}", most=1)
    return lines


def _folded(paths: Iterable[str]) -> list[str]:
    """Return paths once each, those that differ only in one index as one: pinions[0,1].speed."""
    indexes: dict[str, list[str]] = {}
    for path in paths:
        found = re.search(r"\[(\d+)\]", path)
        pattern = path if found is None else f"{path[: found.start(1)]}{{}}{path[found.end(1) :]}"
        known = indexes.setdefault(pattern, [])
        if found is not None and found[1] not in known:
            known.append(found[1])
    return [pattern.replace("{}", ",".join(known), 1) for pattern, known in indexes.items()]


def _cautions(proposal: Proposal) -> list[str]:
    if not proposal.cautions:
        return []
    more = len(proposal.cautions) - 1
    return labelled("caution", f"{proposal.cautions[0]}{f' (and {more} more)' if more else ''}", 1)
