"""What would turn a proposal, and the facts that would settle most, as tables."""

from collections.abc import Sequence

from django.http import QueryDict
from django.utils.safestring import SafeString

from specapp.core.list_files import file_links
from specapp.documents.wording import NONE, prose
from specapp.domain.proposal import Proposal
from specapp.projects.presenting.figures import figure
from specapp.projects.presenting.reader import Reader
from specapp.projects.presenting.tables import Column, Folded, Lines, Row, Table, joined, small
from specapp.rulebook.check_names import check_words
from specapp.rulebook.turning_points import TurningPoints
from specapp.rulebook.useful_facts import useful_facts

_FIRST = 5
_CHANGES_NAMED = 4
_SUBJECTS_NAMED = 6
POINTS, PASSING = "turning_points", "passing_values"
# The search that the page shows found its tables by scripts; their files make it anew.
_SEARCHED = QueryDict("search=now")


def turning_html(found: TurningPoints, reader: Reader) -> SafeString:
    """Return the nearest turning points in words, then all of them, and the values that would pass."""
    if not found.points and not found.passing:
        return Lines(["No number of this description turns anything within what it may be."]).html()
    blocks = [
        Lines([prose(point.text) for point in found.points[:_FIRST]], is_numbered=True),
        _listed("What would pass a check that does not", PASSING, passing_table(found, reader)),
        _listed("All turning points", POINTS, points_table(found, reader)),
        Lines([f"{found.inputs} numbers were moved. {found.note}"], style="soft"),
    ]
    return SafeString("".join(block.html() for block in blocks if block is not None))


def _listed(title: str, key: str, table: Table) -> Folded | None:
    if not table.rows:
        return None
    links = Lines([file_links(_SEARCHED, key, table.label)])
    return Folded(title, len(table.rows), [table, links], is_open=True)


def points_table(found: TurningPoints, reader: Reader) -> Table:
    """Return the turning points, nearest first."""
    columns = (
        Column("Fact"),
        Column("Now", "number"),
        Column("Turns at", "number"),
        Column("Away by", "number"),
        Column("What turns", "says"),
    )
    rows = [
        Row(
            (
                reader.fact(point.path),
                joined([figure(point.now, point.unit, None), small("assumed" if point.assumed else "")]),
                f"{point.direction} {figure(point.turns_at, point.unit, None)}",
                _share(point.distance),
                joined([prose(turn.text) for turn in point.turns]),
            )
        )
        for point in found.points
    ]
    return Table("All turning points, nearest first", columns, rows, is_narrow=False)


def passing_table(found: TurningPoints, reader: Reader) -> Table:
    """Return the values with which a check would pass that does not."""
    columns = (
        Column("Check"),
        Column("Of", "subjects"),
        Column("Fact"),
        Column("Now", "number"),
        Column("Would pass from", "number"),
        Column("Away by", "number"),
    )
    rows = [
        Row(
            (
                check_words(value.check),
                _subjects(value.subjects),
                reader.fact(value.path),
                figure(value.now, value.unit, None),
                f"{figure(value.value, value.unit, None)} {'up' if value.direction == 'above' else 'down'}",
                _share(value.distance),
            )
        )
        for value in found.passing
    ]
    return Table("Values with which a check would pass", columns, rows, is_narrow=False)


def _share(distance: float) -> str:
    """Return how far off a value is, as a share of the value now; twice and more as a multiple."""
    if distance >= 1:
        return f"× {distance + 1:.3g}"
    return f"{distance * 100:.2g} %" if distance else "at the edge"


def _subjects(keys: Sequence[str]) -> str:
    shown = ["the machine" if key == "machine" else key for key in keys[:_SUBJECTS_NAMED]]
    more = len(keys) - len(shown)
    return joined([*shown, *([f"and {more} more"] if more else [])], " · ")


def useful_facts_table(proposal: Proposal, reader: Reader) -> Table:
    """Return the missing inputs, the one that would settle most first."""
    columns = (
        Column("Missing fact"),
        Column("Would settle", "number"),
        Column("Of these"),
        Column("May change", "says"),
    )
    rows = []
    for fact in useful_facts(proposal):
        kinds = (
            (1 if fact.assumption else 0, "assumption"),
            (len(fact.checks), "check"),
            (len(fact.open_points), "open point"),
            (len(fact.candidates), "setpoint candidate"),
        )
        told = ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for count, word in kinds if count)
        more = len(fact.may_change) - _CHANGES_NAMED
        changes = "; ".join(fact.may_change[:_CHANGES_NAMED]) + (f"; and {more} more" if more > 0 else "")
        rows.append(Row((reader.fact(fact.path), str(fact.settles), told, prose(changes) or NONE)))
    return Table("Missing facts, the most useful first", columns, rows, is_narrow=False)
