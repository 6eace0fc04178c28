"""What was issued is sealed by the database: no update, no delete, whoever asks."""

from django.db import migrations

# Table, event and, in terms of the row as it was, when the event is refused.
SEALS = (
    ("revisions_storedfile", "UPDATE", ""),
    ("revisions_storedfile", "DELETE", ""),
    ("revisions_issueddocument", "UPDATE", ""),
    ("revisions_issueddocument", "DELETE", ""),
    ("revisions_issue", "UPDATE", ""),
    ("revisions_issue", "DELETE", ""),
    ("revisions_revision", "UPDATE", "OLD.state <> 'CANDIDATE'"),
    ("revisions_revision", "DELETE", ""),
    (
        "revisions_signature",
        "UPDATE",
        "EXISTS (SELECT 1 FROM revisions_revision WHERE id = OLD.revision_id AND state <> 'CANDIDATE')",
    ),
    ("revisions_signature", "DELETE", ""),
)
TEXT = "What was issued never changes"


def _name(table, event):
    return f"{table}_sealed_{event.lower()}"


def seal(apps, schema_editor):
    connection = schema_editor.connection
    if connection.vendor not in ("sqlite", "postgresql"):
        raise NotImplementedError(f"No seals are written for {connection.vendor}.")
    with connection.cursor() as cursor:
        for table, event, condition in SEALS:
            if connection.vendor == "sqlite":
                when = f"WHEN {condition}" if condition else ""
                cursor.execute(
                    f"CREATE TRIGGER {_name(table, event)} BEFORE {event} ON {table} {when} "
                    f"BEGIN SELECT RAISE(ABORT, '{TEXT}'); END"
                )
                continue
            body = f"RAISE EXCEPTION '{TEXT}';"
            if condition:
                body = f"IF {condition} THEN {body} END IF; RETURN NEW;"
            cursor.execute(
                f"CREATE FUNCTION {_name(table, event)}() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN {body} END $$"
            )
            cursor.execute(
                f"CREATE TRIGGER {_name(table, event)} BEFORE {event} ON {table} "
                f"FOR EACH ROW EXECUTE FUNCTION {_name(table, event)}()"
            )


def unseal(apps, schema_editor):
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        for table, event, _ in SEALS:
            if connection.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER {_name(table, event)}")
            else:
                cursor.execute(f"DROP TRIGGER {_name(table, event)} ON {table}")
                cursor.execute(f"DROP FUNCTION {_name(table, event)}()")


class Migration(migrations.Migration):
    dependencies = [("revisions", "0001_revisions_issues_register")]

    operations = [migrations.RunPython(seal, unseal)]
