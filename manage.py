#!/usr/bin/env python
"""Command line of the project: the engine's own commands without Django, everything else through it."""

import os
import sys

ENGINE_COMMANDS = frozenset({"propose", "schema", "evaluate_bids"})


def main() -> int:
    arguments = sys.argv[1:]
    # The engine's commands need no database and must answer in about half a second, so they are
    # reached before Django is imported; this is the one place where an import waits for its use.
    if arguments and arguments[0] in ENGINE_COMMANDS:
        from specapp.cli import main as engine_main

        return engine_main(arguments)

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "specapp.config.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
    return 0


if __name__ == "__main__":
    sys.exit(main())
