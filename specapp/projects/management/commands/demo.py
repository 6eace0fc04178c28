from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.core.servers.basehttp import get_internal_wsgi_application, run
from django.utils import timezone
from django.utils.module_loading import import_string

from specapp.projects.demo import PEOPLE, demo_load, demo_password


class Command(BaseCommand):
    help = "Prepare the database, load an invented plant, print the sign-ins and serve it on this computer."

    # What the checks would say belongs to `check`, not between the sign-ins.
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000, help="Port on 127.0.0.1, 8000 unless told.")
        parser.add_argument("--no-serve", action="store_true", help="Prepare and print only.")

    def handle(self, *args, port, no_serve, **options):
        if settings.IS_PRODUCTION:
            raise CommandError("The demonstration has known sign-ins and is not loaded in production.")
        if not 1 <= port <= 65535:
            raise CommandError(f"--port: found {port}; allowed: 1 to 65535.")
        call_command("migrate", verbosity=0, interactive=False)
        password = demo_password(settings.VAR_DIR)
        now = timezone.now()
        demo_load(machines_folder=settings.BASE_DIR / "fixtures" / "machines", password=password, now=now)
        for path in settings.DEMO_PARTS:
            import_string(path)(now)
        self.stdout.write("Demonstration, everything invented. Sign in as any of these people:\n\n")
        for person in PEOPLE:
            self.stdout.write(f"  {person.username:<10}  {password}   {person.name}, {person.does}\n")
        self.stdout.write(f"\n  http://127.0.0.1:{port}/\n\n")
        if no_serve:
            return
        self.stdout.write("Stop it with Ctrl+C.\n")
        self.stdout.flush()
        # The plain threaded server, without reloader: it runs wherever Python runs, and debug pages are off.
        try:
            run("127.0.0.1", port, get_internal_wsgi_application(), threading=True)
        except OSError as error:
            raise CommandError(f"--port {port}: {error.strerror or error}") from error
        except KeyboardInterrupt:
            self.stdout.write("\nStopped.\n")
