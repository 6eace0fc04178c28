"""Rankings at several shares of technical score and price, and what turns the lead."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from specapp.evaluation.bids import Settings
from specapp.evaluation.evaluation import Ranking, Row

# Scores this near to each other differ only by how binary fractions round.
_TIE = 1e-9


@dataclass(frozen=True, slots=True)
class Candidate:
    """An offer that is ranked. `technical` is None where nothing is scored: then its share is 0."""

    name: str
    evaluated: float
    technical: float | None


def weightings(settings: Settings) -> tuple[tuple[float, float], ...]:
    """Return the shares of technical score and price to rank by, that of the method first."""
    first = (0.0, 100.0)
    if settings.method == "weighted":
        assert settings.weights is not None
        first = (settings.weights.technical, settings.weights.price)
    return (first, *settings.alternative_weights)


def combined_score(candidate: Candidate, weights: tuple[float, float], lowest: float) -> float:
    """Return technical share times technical score plus price share times 100 lowest / own."""
    technical, price = weights
    own = candidate.evaluated
    # Equal first: an offer with a discount of 100 percent may come to 0, and 0 / 0 is no score.
    price_score = 100.0 if own == lowest else 100.0 * lowest / own
    return technical / 100 * (candidate.technical or 0.0) + price / 100 * price_score


def ranking(candidates: Sequence[Candidate], weights: tuple[float, float], lowest: float | None) -> Ranking:
    """Return the candidates from the best down; equal scores share a rank, in the order of their names."""
    if lowest is None:
        return Ranking(weights, ())
    scored = sorted((-combined_score(each, weights, lowest), each.name) for each in candidates)
    rows: list[Row] = []
    for tied in _ties(scored):
        names = sorted(name for _, name in tied)
        scores = {name: -score for score, name in tied}
        rank = len(rows) + 1
        rows += [Row(name, scores[name], rank, tuple(n for n in names if n != name)) for name in names]
    return Ranking(weights, tuple(rows))


def _ties(scored: Sequence[tuple[float, str]]) -> Iterator[list[tuple[float, str]]]:
    group: list[tuple[float, str]] = []
    for each in scored:
        if group and each[0] - group[0][0] > _TIE * max(1.0, abs(group[0][0])):
            yield group
            group = []
        group.append(each)
    if group:
        yield group


def flips(rankings: Sequence[Ranking]) -> tuple[str, ...]:
    """Return a sentence for each ranking whose lead differs from that of the first."""
    first, *others = rankings
    lead = _lead(first)
    sentences = [
        f"{_words(lead)} {'lead' if len(lead) > 1 else 'leads'} at {share_text(first.weights)}, "
        f"{_words(_lead(other))} at {share_text(other.weights)}"
        for other in others
        if _lead(other) != lead
    ]
    return tuple(dict.fromkeys(sentences))


def share_text(weights: tuple[float, float]) -> str:
    """Return shares as people say them: 70/30."""
    return "/".join(f"{share:g}" for share in weights)


def _lead(ranked: Ranking) -> tuple[str, ...]:
    return tuple(row.name for row in ranked.rows if row.rank == 1)


def _words(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
