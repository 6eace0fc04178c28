from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from specapp.core.mail.digest import asks_send, digests_send


class Command(BaseCommand):
    help = (
        "Mail everybody who wants it one digest a day: counts and links, never a value. With --asked, mail "
        "only what people are newly asked to sign or answer. Run the one daily and the other every few "
        "minutes by the system's timer."
    )

    def add_arguments(self, parser):
        parser.add_argument("--asked", action="store_true", help="Only what is newly asked of somebody.")

    def handle(self, *args, asked, **options):
        if not settings.HAS_MAIL:
            raise CommandError(
                "No mail server is set up: SPECAPP_MAIL_URL names it, for example smtp+tls://host:587."
            )
        sent = (asks_send if asked else digests_send)(timezone.now())
        self.stdout.write(f"{sent.mails} sent, {sent.failed} failed.")
        if sent.failed:
            raise CommandError("Some mails could not be sent; the log says which and why.")
