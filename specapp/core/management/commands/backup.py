from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from specapp.core.backup.errors import BackupRefused
from specapp.core.backup.writing import backup_write


class Command(BaseCommand):
    help = (
        "Write the whole installation, database and files, into one new file with a checksum. People may go "
        "on working. The file holds everything they entered: keep it as safe as the database."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="A name that is free, on a disk with room.")

    def handle(self, *args, file, **options):
        try:
            written = backup_write(file, timezone.now())
        except BackupRefused as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"{file}: rows: {written.rows}, files: {written.files}, bytes: {written.size}.")
        self.stdout.write(f"sha256 {written.digest}")
        for name in written.missing:
            self.stderr.write(f"Not on the disk, and so not in the backup: {name}")
