"""What a bidder said about declining is sealed by the database: not changed, not deleted.

A later migration that lets SQLite build the table anew has to seal it again: a table's triggers go with it.
`tests/bids/test_seals.py` finds one that is missing.
"""

from django.db import migrations

TABLE = "bids_declining"
TEXT = "What a bidder said never changes: a new word follows it"
EVENTS = ("UPDATE", "DELETE")


def _name(event):
    return f"{TABLE}_sealed_{event.lower()}"


def seal(apps, schema_editor):
    connection = schema_editor.connection
    if connection.vendor not in ("sqlite", "postgresql"):
        raise NotImplementedError(f"No seals are written for {connection.vendor}.")
    with connection.cursor() as cursor:
        for event in EVENTS:
            name = _name(event)
            if connection.vendor == "sqlite":
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE {event} ON {TABLE} "
                    f"BEGIN SELECT RAISE(ABORT, '{TEXT}'); END"
                )
                continue
            cursor.execute(
                f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{TEXT}'; END $$"
            )
            cursor.execute(
                f"CREATE TRIGGER {name} BEFORE {event} ON {TABLE} FOR EACH ROW EXECUTE FUNCTION {name}()"
            )


def unseal(apps, schema_editor):
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        for event in EVENTS:
            name = _name(event)
            if connection.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER {name}")
            else:
                cursor.execute(f"DROP TRIGGER {name} ON {TABLE}")
                cursor.execute(f"DROP FUNCTION {name}()")


class Migration(migrations.Migration):
    dependencies = [("bids", "0008_bidders_decline")]

    operations = [migrations.RunPython(seal, unseal)]
