"""What a server knows that has just been started, before any test has imported anything else."""

from __future__ import annotations

import subprocess
import sys

from django.conf import settings

ASKED = """
import django
django.setup()
import repairs.urls
from repairs.readings.actions import gauges
from repairs.readings.sheets.catalogue import SHEETS
print(sorted(set(SHEETS) - set(gauges())))
"""


def test_every_entry_sheet_finds_its_gauge_in_a_server_just_started():
    command = [sys.executable, "-c", ASKED]

    done = subprocess.run(
        command, cwd=settings.BASE_DIR, capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"
