"""Every sheet finds its gauge in a process that has loaded nothing else, as a server has."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.beside import ROOT

ASK = """
import django
django.setup()
from repairs.readings.sheets.catalogue import SHEETS
from {module} import gauges
print(*sorted(set(SHEETS) - set(gauges())))
"""


@pytest.mark.parametrize(
    "module",
    ["repairs.readings.actions", "repairs.wood.gauging", "repairs.management.commands.gauge"],
)
def test_every_sheet_finds_its_gauge_in_a_fresh_process(module):
    asked = subprocess.run(
        [sys.executable, "-c", ASK.format(module=module)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )

    assert asked.stdout.split() == []
