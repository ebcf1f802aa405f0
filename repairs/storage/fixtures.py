"""storage.fixtures: moved here."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings


def read_fixture(name: str) -> Any:
    return json.loads((settings.FIXTURES / name).read_text(encoding="utf-8"))
