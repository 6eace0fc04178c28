"""What was entered and signed is sealed by the database: no update, whoever asks."""

from django.db import migrations

TABLES = (
    "commissioning_checklist",
    "commissioning_checklistentry",
    "commissioning_checklistsignature",
)
TEXT = "What was entered in commissioning never changes: a correction is a new entry"


def seal(apps, schema_editor):
    connection = schema_editor.connection
    if connection.vendor not in ("sqlite", "postgresql"):
        raise NotImplementedError(f"No seals are written for {connection.vendor}.")
    with connection.cursor() as cursor:
        for table in TABLES:
            name = f"{table}_sealed"
            if connection.vendor == "sqlite":
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, '{TEXT}'); END"
                )
                continue
            cursor.execute(
                f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{TEXT}'; END $$"
            )
            cursor.execute(
                f"CREATE TRIGGER {name} BEFORE UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()"
            )


def unseal(apps, schema_editor):
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        for table in TABLES:
            name = f"{table}_sealed"
            if connection.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER {name}")
            else:
                cursor.execute(f"DROP TRIGGER {name} ON {table}")
                cursor.execute(f"DROP FUNCTION {name}()")


class Migration(migrations.Migration):
    dependencies = [("commissioning", "0001_checklists")]

    operations = [migrations.RunPython(seal, unseal)]
