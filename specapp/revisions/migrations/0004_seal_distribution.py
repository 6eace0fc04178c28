"""To whom an issue was sent, and who received it, is sealed by the database: lines are added, never changed."""

from django.db import migrations

TABLES = ("revisions_recipient", "revisions_receipt")
EVENTS = ("UPDATE", "DELETE")
TEXT = "What was sent and received never changes"


def _names():
    return [(table, event, f"{table}_sealed_{event.lower()}") for table in TABLES for event in EVENTS]


def seal(apps, schema_editor):
    connection = schema_editor.connection
    if connection.vendor not in ("sqlite", "postgresql"):
        raise NotImplementedError(f"No seals are written for {connection.vendor}.")
    with connection.cursor() as cursor:
        for table, event, name in _names():
            if connection.vendor == "sqlite":
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE {event} ON {table} BEGIN SELECT RAISE(ABORT, '{TEXT}'); END"
                )
                continue
            cursor.execute(
                f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{TEXT}'; END $$"
            )
            cursor.execute(
                f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()"
            )


def unseal(apps, schema_editor):
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        for table, _, name in _names():
            if connection.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER {name}")
            else:
                cursor.execute(f"DROP TRIGGER {name} ON {table}")
                cursor.execute(f"DROP FUNCTION {name}()")


class Migration(migrations.Migration):
    dependencies = [("revisions", "0003_distribution")]

    operations = [migrations.RunPython(seal, unseal)]
