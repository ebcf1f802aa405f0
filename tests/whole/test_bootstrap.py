"""What manage.py does for a process before Django is there."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from django.conf import settings

ASKED = """
import os, sys
from workshop.bootstrap import ensure_environment
ensure_environment(["manage.py", "check"])
print(sys.dont_write_bytecode, sys.pycache_prefix, os.environ.get("PYTHONDONTWRITEBYTECODE"))
"""


@pytest.mark.parametrize(
    ("told", "known"),
    [
        ({}, "False None None"),
        ({"PYTHONDONTWRITEBYTECODE": "1"}, "False {venv}/compiled None"),
        (
            {"PYTHONDONTWRITEBYTECODE": "1", "PYTHONPYCACHEPREFIX": "elsewhere"},
            "False elsewhere None",
        ),
    ],
)
def test_what_python_compiled_is_kept_even_where_it_may_not_lie_beside_the_code(told, known):
    clear = ("PYTHONDONTWRITEBYTECODE", "PYTHONPYCACHEPREFIX", "SAUTEREAU_NO_BOOTSTRAP")
    environment = {name: said for name, said in os.environ.items() if name not in clear}

    done = subprocess.run(
        [sys.executable, "-c", ASKED],
        cwd=settings.BASE_DIR,
        env={**environment, **told},
        capture_output=True,
        text=True,
        check=True,
    )

    assert done.stdout.strip() == known.format(venv=settings.BASE_DIR / ".venv")
