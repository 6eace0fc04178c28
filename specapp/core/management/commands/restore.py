from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from specapp.core.backup.errors import BackupRefused
from specapp.core.backup.restoring import backup_restore


class Command(BaseCommand):
    help = (
        "Restore a file of `backup` into an empty database of either kind. A damaged file or one of a later "
        "version is refused, and nothing is changed. Everybody is signed out. Stop the server before."
    )
    # Before the database has tables, checks of it would only stand in the way.
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--replace",
            action="store_true",
            help="Also in place of a database in use, of which nothing is left.",
        )

    def handle(self, *args, file, replace, **options):
        try:
            restored = backup_restore(file, replace=replace, now=timezone.now())
        except BackupRefused as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"As of {restored.made_at}; rows: {restored.rows}, files: {restored.files}.")
        if restored.record:
            self.stderr.write(f"The record in this backup did not hold before either: {restored.record}.")
