"""A record of a measurement is sealed by the database: no update, whoever asks."""

from django.db import migrations

TABLE = "commissioning_measurement"
NAME = f"{TABLE}_sealed"
TEXT = "What was measured never changes: a correction is a new record"


def seal(apps, schema_editor):
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(
                f"CREATE TRIGGER {NAME} BEFORE UPDATE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{TEXT}'); END"
            )
            return
        cursor.execute(
            f"CREATE FUNCTION {NAME}() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{TEXT}'; END $$"
        )
        cursor.execute(
            f"CREATE TRIGGER {NAME} BEFORE UPDATE ON {TABLE} FOR EACH ROW EXECUTE FUNCTION {NAME}()"
        )


def unseal(apps, schema_editor):
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"DROP TRIGGER {NAME}")
        else:
            cursor.execute(f"DROP TRIGGER {NAME} ON {TABLE}")
            cursor.execute(f"DROP FUNCTION {NAME}()")


class Migration(migrations.Migration):
    dependencies = [("commissioning", "0003_measurements")]

    operations = [migrations.RunPython(seal, unseal)]
