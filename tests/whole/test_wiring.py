"""What a server knows that has just been started, before any test has imported anything else."""

from __future__ import annotations

import subprocess
import sys

from django.conf import settings

ASKED = """
import sys
import django
django.setup()
import repairs.urls
import repairs.papers.filters
from repairs.readings.actions import gauges
from repairs.readings.sheets.catalogue import SHEETS
print(sorted(set(SHEETS) - set(gauges())), "numpy" in sys.modules)
"""


def test_a_server_just_started_knows_every_gauge_and_waits_with_what_only_computing_needs():
    command = [sys.executable, "-c", ASKED]

    done = subprocess.run(
        command, cwd=settings.BASE_DIR, capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[] False"
