from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone

from specapp.core.links import link_token
from specapp.core.mail.sending import address_of
from specapp.core.people import password_link_make
from specapp.core.sign_in import person_named


class Command(BaseCommand):
    help = "Print a link, good once and for a day, by which a person sets a new password."

    def add_arguments(self, parser):
        parser.add_argument("person", help="User name or e-mail address.")

    def handle(self, *args, person, **options):
        found = person_named(person)
        if found is None or not found.is_active:
            raise CommandError(
                f"Found {person!r}; allowed is the name or address of a person who signs in here."
            )
        link = password_link_make(person=found, author=None, now=timezone.now())
        self.stdout.write(f"For {found}, once, within a day:\n")
        self.stdout.write(address_of(reverse("core:password-link", args=[link_token(link)])))
