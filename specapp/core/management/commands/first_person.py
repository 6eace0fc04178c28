from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone

from specapp.core.links import link_token
from specapp.core.mail.sending import address_of
from specapp.core.models import User
from specapp.core.people import password_link_make, person_add


class Command(BaseCommand):
    help = (
        "Make the first person, who looks after the installation, and print a link, good once and for a day, "
        "by which he or she sets a password. Needs no mail."
    )

    def add_arguments(self, parser):
        parser.add_argument("username", help="Short, without @.")
        parser.add_argument("--name", default="", help="As it is to stand on documents.")
        parser.add_argument("--email", default="")

    def handle(self, *args, username, name, email, **options):
        if User.objects.filter(is_superuser=True, is_active=True).exists():
            raise CommandError(
                "Somebody looks after this installation already and adds people on the page of people. Where "
                "that person's password is lost: manage.py password_link USERNAME."
            )
        now = timezone.now()
        try:
            person = person_add(
                author=None,
                now=now,
                username=username,
                name=name,
                email=email,
                is_administrator=True,
                may_start_projects=True,
            )
        except ValidationError as error:
            problems = [f"{field}: {' '.join(texts)}" for field, texts in error.message_dict.items()]
            raise CommandError("\n".join(problems)) from error
        link = password_link_make(person=person, author=None, now=now)
        self.stdout.write(
            f"{person} looks after this installation. To set the password, once, within a day:\n"
        )
        self.stdout.write(address_of(reverse("core:password-link", args=[link_token(link)])))
