#!/usr/bin/env python3
"""Evenhouse's commands: `python manage.py help` lists them."""

import os
import sys

NOT_INSTALLED = """\
Evenhouse's libraries are not installed in this Python.
Install them once into an environment of their own:
    python3 -m household.install
then run the command again as:
    .venv/bin/python manage.py {command}"""


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "household.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit(NOT_INSTALLED.format(command=" ".join(sys.argv[1:]) or "help"))
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
