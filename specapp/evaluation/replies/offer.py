"""What a bidder answered, as plain records; and what the check proposes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

import msgspec

Claim = Literal["", "complies", "partial", "deviates", "alternative", "not applicable"]
CLAIMS: Final[tuple[Claim, ...]] = ("complies", "partial", "deviates", "alternative", "not applicable")
Standing = Literal["comply", "with comment", "partial", "deviate", "no reply"]
# What a standing counts of a requirement's weight (common practice; a vague reply counts as none).
FACTORS: Final[dict[Standing, float]] = {
    "comply": 1.0,
    "with comment": 0.9,
    "partial": 0.5,
    "deviate": 0.0,
    "no reply": 0.0,
}


class Reply(msgspec.Struct, frozen=True):
    """An answer to one requirement; `place` is where it stands, a cell or a file and page."""

    requirement: str
    claim: Claim = ""
    offered: str = ""
    evidence: str = ""
    remark: str = ""
    place: str = ""


class OfferedItem(msgspec.Struct, frozen=True):
    """A line of the offered bill. `key` is empty for a line the enquiry did not ask for."""

    key: str
    description: str
    quantity: float | None
    spares: float | None = None
    type_text: str = ""
    remark: str = ""
    place: str = ""


class OfferedDevice(msgspec.Struct, frozen=True):
    """Failure data of one kind of device, texts as the bidder wrote them."""

    device: str
    values: Mapping[str, str]
    marking: str = ""
    place: str = ""


class Deviation(msgspec.Struct, frozen=True):
    """A line of the list of deviations."""

    requirement: str
    text: str
    reason: str = ""
    place: str = ""


class TechnicalOffer(msgspec.Struct, frozen=True):
    """A technical offer: no price anywhere in it."""

    replies: tuple[Reply, ...] = ()
    items: tuple[OfferedItem, ...] = ()
    devices: tuple[OfferedDevice, ...] = ()
    deviations: tuple[Deviation, ...] = ()


class Judgement(msgspec.Struct, frozen=True):
    """What the check proposes for one requirement.

    `evidence` says what was read and compared; `question` is a clarification to send, empty where none is
    needed; `until_clarified` marks a reply that may turn better once it is answered.
    """

    requirement: str
    standing: Standing
    evidence: tuple[str, ...]
    question: str = ""
    until_clarified: bool = False
    contradictions: tuple[str, ...] = ()

    @property
    def factor(self) -> float:
        return FACTORS[self.standing]
