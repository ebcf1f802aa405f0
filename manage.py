#!/usr/bin/env python3
"""Sautereau's one command. On a fresh machine it first makes its own .venv."""

import os
import sys

from workshop.bootstrap import ensure_environment


def main() -> None:
    ensure_environment(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
    # Only now are the packages there that these need.
    from django.core.management import execute_from_command_line  # noqa: PLC0415

    from workshop.prepare import prepare  # noqa: PLC0415

    prepare(house=sys.argv[1:2] != ["install"])
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
