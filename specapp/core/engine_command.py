"""The engine's commands as Django sees them: listed by `help`, reachable by `call_command`."""

import sys

from django.core.management.base import BaseCommand

from specapp.cli import main


class EngineCommand(BaseCommand):
    """Hands its arguments to the engine's own command line and exits with its status when not 0."""

    engine_command: str
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("arguments", nargs="*", help="Arguments of the engine's command line.")

    def run_from_argv(self, argv):
        sys.exit(main([self.engine_command, *argv[2:]]))

    def handle(self, *args, arguments=(), **options):
        status = main([self.engine_command, *args, *arguments])
        if status:
            sys.exit(status)
