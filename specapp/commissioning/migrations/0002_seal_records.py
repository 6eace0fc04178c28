"""What was entered and signed is sealed by the database: no update, whoever asks."""

from django.db import migrations

from specapp.core.seals import Seal, Seals

_TABLES = (
    "commissioning_checklist",
    "commissioning_checklistentry",
    "commissioning_checklistsignature",
)
SEALS = Seals(
    "What was entered in commissioning never changes: a correction is a new entry",
    tuple(Seal(table, "UPDATE", name=f"{table}_sealed") for table in _TABLES),
)


class Migration(migrations.Migration):
    dependencies = [("commissioning", "0001_checklists")]

    operations = [SEALS.operation]
