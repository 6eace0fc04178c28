import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('review', '0002_revisions_of_comments_and_rounds'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='RoundChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('due_was', models.DateField(blank=True, null=True)),
                ('due_is', models.DateField(blank=True, null=True)),
                ('added', models.JSONField(blank=True, default=list)),
                ('excused', models.JSONField(blank=True, default=list)),
                ('reason', models.CharField(max_length=500)),
                ('changed_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddField(
            model_name='reviewer',
            name='excused_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name='reviewer',
            constraint=models.CheckConstraint(condition=models.Q(('excused_at', None), ('answer', ''), _connector='OR'), name='reviewer_excused_without_answer'),
        ),
        migrations.AddField(
            model_name='roundchange',
            name='author',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='roundchange',
            name='round',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='changes', to='review.round'),
        ),
        migrations.AddConstraint(
            model_name='roundchange',
            constraint=models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='round_change_with_reason'),
        ),
    ]
