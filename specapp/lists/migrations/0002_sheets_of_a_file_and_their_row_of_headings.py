from django.db import migrations, models


def grid_as_sheet(apps, schema_editor):
    for staged in apps.get_model("lists", "StagedSheet").objects.all():
        staged.sheets = [{"name": "", "grid": staged.grid, "is_hidden": False, "refused": ""}]
        staged.save(update_fields=["sheets"])


def sheet_as_grid(apps, schema_editor):
    for staged in apps.get_model("lists", "StagedSheet").objects.all():
        staged.grid = staged.sheets[staged.sheet]["grid"] if staged.sheets else []
        staged.save(update_fields=["grid"])


class Migration(migrations.Migration):
    dependencies = [("lists", "0001_staged_sheets_and_column_meanings")]

    operations = [
        migrations.AddField("StagedSheet", "sheets", models.JSONField(default=list)),
        migrations.AddField("StagedSheet", "sheet", models.PositiveSmallIntegerField(default=0)),
        migrations.AddField("StagedSheet", "head_row", models.PositiveIntegerField(default=0)),
        migrations.AlterField("StagedSheet", "grid", models.JSONField(default=list)),
        migrations.RunPython(grid_as_sheet, sheet_as_grid),
        migrations.RemoveField("StagedSheet", "grid"),
    ]
