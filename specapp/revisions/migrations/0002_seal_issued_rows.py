"""What was issued is sealed by the database: no update, no delete, whoever asks."""

from django.db import migrations

from specapp.core.seals import Seal, Seals, whole

SEALS = Seals(
    "What was issued never changes",
    (
        *whole("revisions_storedfile", "revisions_issueddocument", "revisions_issue"),
        Seal("revisions_revision", "UPDATE", "OLD.state <> 'CANDIDATE'"),
        Seal("revisions_revision", "DELETE"),
        Seal(
            "revisions_signature",
            "UPDATE",
            "EXISTS (SELECT 1 FROM revisions_revision WHERE id = OLD.revision_id AND state <> 'CANDIDATE')",
        ),
        Seal("revisions_signature", "DELETE"),
    ),
)


class Migration(migrations.Migration):
    dependencies = [("revisions", "0001_revisions_issues_register")]

    operations = [SEALS.operation]
