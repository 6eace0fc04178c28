"""The sections of a proposal page in reading order."""

from specapp.domain.proposal import Proposal
from specapp.projects.kept import kept_beside
from specapp.projects.presenting import building_sections, measuring_sections, standing_sections
from specapp.projects.presenting.reader import Reader
from specapp.projects.presenting.section import Builder, Section

_BUILDERS: tuple[Builder, ...] = (
    standing_sections.assumptions,
    standing_sections.open_points,
    measuring_sections.points,
    measuring_sections.setpoints,
    measuring_sections.checks,
    measuring_sections.frequencies,
    building_sections.area,
    building_sections.architecture,
    building_sections.bill,
    building_sections.cause_and_effect,
    building_sections.process_protection,
    building_sections.responsibility,
    standing_sections.reconciliation,
    standing_sections.basis,
)


@kept_beside(24)
def sections(proposal: Proposal, reader: Reader) -> tuple[Section, ...]:
    """Return the sections that hold something; for a reader of only what needs them, those where it waits."""
    found = [build(proposal, reader) for build in _BUILDERS]
    return tuple(section for section in found if (section.needs if reader.only_needs else section.count))
