from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("projects", "0003_add_invitation")]

    operations = [
        migrations.AddField(
            model_name="project",
            name="clients_read_drafts",
            field=models.BooleanField(default=False),
        ),
    ]
