"""Every command of ours stands in the table of the README."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings

ROOT = Path(settings.BASE_DIR)
COMMANDS = sorted(
    file.stem
    for file in (ROOT / "repairs" / "management" / "commands").glob("*.py")
    if not file.stem.startswith("_")
)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_stands_in_the_readme(command):
    assert f"| `manage.py {command}" in (ROOT / "README.md").read_text(encoding="utf-8")
