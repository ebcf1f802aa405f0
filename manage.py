#!/usr/bin/env python3
"""Sautereau's one command. On a fresh machine it first makes its own .venv."""

import os
import sys

from workshop.bootstrap import ensure_environment


def main() -> None:
    ensure_environment(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
    from django.core.management import execute_from_command_line  # noqa: PLC0415

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
