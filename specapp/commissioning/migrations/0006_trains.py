"""Which of several identical machines a checklist or a record is of; the seals are put back after it."""

from importlib import import_module

from django.db import migrations, models

_RECORDS = import_module("specapp.commissioning.migrations.0002_seal_records").SEALS
_MEASUREMENTS = import_module("specapp.commissioning.migrations.0004_seal_measurements").SEALS


def seal(apps, schema_editor):
    _RECORDS.seal(apps, schema_editor)
    _MEASUREMENTS.seal(apps, schema_editor)


def unseal(apps, schema_editor):
    _RECORDS.unseal(apps, schema_editor)
    _MEASUREMENTS.unseal(apps, schema_editor)


class Migration(migrations.Migration):
    dependencies = [("commissioning", "0005_difference_reasons")]

    operations = [
        migrations.RunPython(unseal, seal),
        migrations.AddField("checklist", "train", models.CharField(blank=True, default="", max_length=10)),
        migrations.AddField("measurement", "train", models.CharField(blank=True, default="", max_length=10)),
        migrations.RunPython(seal, unseal),
    ]
