import sys

from django.core.management.base import BaseCommand
from django.utils import timezone

from specapp.core.audit import chain_verify


class Command(BaseCommand):
    help = (
        "Verify the record of what was done, entry by entry. Exit status 1 where it does not hold, naming "
        "the first entry that does not fit. Note the digest it prints somewhere else; --expect then also "
        "finds a record that was computed anew as a whole."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--expect", default="", metavar="DIGEST", help="A digest noted earlier and elsewhere."
        )

    def handle(self, *args, expect, **options):
        state = chain_verify(expect.strip().lower())
        if state.broken is not None:
            entry = state.broken
            self.stderr.write(
                f"Does not hold at entry {entry.pk} ({entry.at.isoformat(timespec='seconds')}, "
                f"{entry.actor_name}, {entry.action}): {state.reason}. {state.entries} before it hold."
            )
            sys.exit(1)
        if state.reason:
            self.stderr.write(f"Does not hold after entry {state.entries}: {state.reason}.")
            sys.exit(1)
        if expect and not state.expected_seen:
            self.stderr.write(
                f"Holds in itself, and has no entry with digest {expect}: it was computed anew, or that "
                "digest is of another installation."
            )
            sys.exit(1)
        self.stdout.write(f"{state.entries} entries hold. Digest of the last, to be noted elsewhere:")
        self.stdout.write(f"{timezone.now().isoformat(timespec='seconds')}  {state.head}")
