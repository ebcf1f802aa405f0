"""Data that comes with the casebook and is read once: kinds, vocabularies, the demo's story."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings


def read_fixture(name: str) -> Any:
    """What the JSON file of that name in ``fixtures/`` says; whoever asks knows its shape."""
    return json.loads((settings.FIXTURES / name).read_text(encoding="utf-8"))
