"""What a section of a proposal page is."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.safestring import SafeString

from specapp.domain.proposal import Proposal
from specapp.projects.presenting.reader import Reader
from specapp.projects.presenting.tables import Block


@dataclass(frozen=True)
class Section:
    """One section: `count` of everything, `needs` of what waits for the reader, in `needs_word`."""

    key: str
    title: str
    count: int
    needs: int
    needs_word: str
    blocks: Sequence[Block]

    @cached_property
    def html(self) -> SafeString:
        return SafeString("".join(block.html() for block in self.blocks))


Builder = Callable[[Proposal, Reader], Section]
