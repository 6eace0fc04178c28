"""What was received, opened or issued is sealed by the database: not changed, not deleted, whoever asks."""

from django.db import migrations

from specapp.core.seals import Seal, Seals, changed, whole

_RECEIVED = (
    "offer_id",
    "amendment_id",
    "part",
    "version",
    "name",
    "size",
    "sha256",
    "content",
    "received_at",
    "received_by_id",
    "on_behalf",
    "is_late",
)
_LATE = ("late_accepted", "late_reason", "late_decided_at", "late_decided_by_id")
_ASKED = ("bidder_id", "number", "requirement", "question", "scope", "asked_at", "asked_by_id")
_ANSWERED = ("answer", "answered_at", "answered_by_id", "evidence")
SEALS = Seals(
    "What was received or issued never changes",
    (
        Seal(
            "bids_envelope",
            "UPDATE",
            f"{changed(_RECEIVED)} OR (OLD.late_accepted IS NOT NULL AND ({changed(_LATE)})) "
            "OR (OLD.opened_at IS NOT NULL AND OLD.opened_at IS DISTINCT FROM NEW.opened_at)",
        ),
        Seal("bids_envelope", "DELETE"),
        *whole("bids_amendment", "bids_acknowledgement"),
        Seal("bids_opening", "UPDATE", "OLD.opened_at IS NOT NULL"),
        Seal("bids_opening", "DELETE"),
        *whole("bids_openingperson"),
        Seal("bids_offer", "UPDATE", changed(("bidder_id", "label"))),
        Seal("bids_offer", "DELETE"),
        Seal(
            "bids_clarification",
            "UPDATE",
            f"{changed(_ASKED)} OR (OLD.answered_at IS NOT NULL AND ({changed(_ANSWERED)}))",
        ),
        Seal("bids_clarification", "DELETE"),
        *whole("bids_stagesignature", "bids_cancellation"),
    ),
)


class Migration(migrations.Migration):
    dependencies = [("bids", "0002_enquiry_cancelled")]

    operations = [SEALS.operation]
