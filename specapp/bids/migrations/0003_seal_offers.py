"""What was received, opened or issued is sealed by the database: not changed, not deleted, whoever asks.

A later migration that lets SQLite build one of these tables anew has to seal it again: a table's triggers go
with it. `tests/bids/test_seals.py` finds one that is missing.
"""

from django.db import migrations

TEXT = "What was received or issued never changes"
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


def _changed(columns):
    return " OR ".join(f"OLD.{name} IS DISTINCT FROM NEW.{name}" for name in columns)


# Table, event and, in terms of the row as it was and would be, when the event is refused.
SEALS = (
    (
        "bids_envelope",
        "UPDATE",
        f"{_changed(_RECEIVED)} OR (OLD.late_accepted IS NOT NULL AND ({_changed(_LATE)})) "
        "OR (OLD.opened_at IS NOT NULL AND OLD.opened_at IS DISTINCT FROM NEW.opened_at)",
    ),
    ("bids_envelope", "DELETE", ""),
    ("bids_amendment", "UPDATE", ""),
    ("bids_amendment", "DELETE", ""),
    ("bids_acknowledgement", "UPDATE", ""),
    ("bids_acknowledgement", "DELETE", ""),
    ("bids_opening", "UPDATE", "OLD.opened_at IS NOT NULL"),
    ("bids_opening", "DELETE", ""),
    ("bids_openingperson", "UPDATE", ""),
    ("bids_openingperson", "DELETE", ""),
    ("bids_offer", "UPDATE", _changed(("bidder_id", "label"))),
    ("bids_offer", "DELETE", ""),
    (
        "bids_clarification",
        "UPDATE",
        f"{_changed(_ASKED)} OR (OLD.answered_at IS NOT NULL AND ({_changed(_ANSWERED)}))",
    ),
    ("bids_clarification", "DELETE", ""),
    ("bids_stagesignature", "UPDATE", ""),
    ("bids_stagesignature", "DELETE", ""),
    ("bids_cancellation", "UPDATE", ""),
    ("bids_cancellation", "DELETE", ""),
)


def _name(table, event):
    return f"{table}_sealed_{event.lower()}"


def seal(apps, schema_editor):
    connection = schema_editor.connection
    if connection.vendor not in ("sqlite", "postgresql"):
        raise NotImplementedError(f"No seals are written for {connection.vendor}.")
    with connection.cursor() as cursor:
        for table, event, condition in SEALS:
            name = _name(table, event)
            if connection.vendor == "sqlite":
                # IS NOT says the same to every version of SQLite; IS DISTINCT FROM only to those since 3.39.
                told = condition.replace("IS DISTINCT FROM", "IS NOT")
                when = f"WHEN {told}" if told else ""
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE {event} ON {table} {when} "
                    f"BEGIN SELECT RAISE(ABORT, '{TEXT}'); END"
                )
                continue
            body = f"RAISE EXCEPTION '{TEXT}';"
            if condition:
                body = f"IF {condition} THEN {body} END IF; RETURN NEW;"
            cursor.execute(
                f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$"
            )
            cursor.execute(
                f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()"
            )


def unseal(apps, schema_editor):
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        for table, event, _ in SEALS:
            name = _name(table, event)
            if connection.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER {name}")
            else:
                cursor.execute(f"DROP TRIGGER {name} ON {table}")
                cursor.execute(f"DROP FUNCTION {name}()")


class Migration(migrations.Migration):
    dependencies = [("bids", "0002_enquiry_cancelled")]

    operations = [migrations.RunPython(seal, unseal)]
