#!/usr/bin/env python
"""Run Misho's commands."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        # A switch that makes no sense: its own sentence says which and what to write instead.
        sys.exit(str(error))


if __name__ == "__main__":
    main()
