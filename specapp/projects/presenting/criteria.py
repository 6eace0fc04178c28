"""The criteria of a project: defaults, the owner's values over them, and what is confirmed."""

from collections.abc import Iterable
from dataclasses import dataclass

from specapp.criteria.criterion import FROM_MEMORY, Criterion
from specapp.criteria.loader import load_defaults
from specapp.documents.wording import with_criterion_unit
from specapp.projects.models import CriterionConfirmation, ProjectCriterion


@dataclass(frozen=True, slots=True)
class CriterionLine:
    """One criterion as a project sees it; `confirmed` only by those who saw the value of today."""

    criterion: Criterion
    own: ProjectCriterion | None
    confirmed: tuple[CriterionConfirmation, ...]

    @property
    def is_unconfirmed(self) -> bool:
        return self.criterion.status == FROM_MEMORY and not self.confirmed and self.own is None

    @property
    def default_text(self) -> str:
        return with_criterion_unit(self.criterion.value, self.criterion.unit)

    @property
    def own_text(self) -> str:
        return with_criterion_unit(self.own.value, self.criterion.unit) if self.own else ""

    @property
    def source(self) -> str:
        return ", ".join(part for part in (self.criterion.source, self.criterion.edition) if part)


def criterion_lines(
    own: Iterable[ProjectCriterion], confirmed: Iterable[CriterionConfirmation]
) -> list[CriterionLine]:
    """Return every criterion with what the project says about it."""
    rows = {row.key: row for row in own}
    by_key: dict[str, list[CriterionConfirmation]] = {}
    for row in confirmed:
        by_key.setdefault(row.key, []).append(row)
    return [
        CriterionLine(
            each,
            rows.get(each.key),
            tuple(row for row in by_key.get(each.key, ()) if row.value == each.value),
        )
        for each in load_defaults()
    ]
