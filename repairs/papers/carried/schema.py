"""The published shape of the data, as JSON Schema; it travels inside each report."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from repairs.press.document import Enclosure

SCHEMA_FILE = Path(__file__).with_name("paper-2.schema.json")


@cache
def schema_text() -> str:
    """The schema as it is published."""
    return SCHEMA_FILE.read_text(encoding="utf-8")


def schema_enclosure() -> Enclosure:
    """The schema, for whoever reads the data in thirty years without this program."""
    return Enclosure(
        name=SCHEMA_FILE.name,
        content=schema_text().encode(),
        description="JSON Schema of the data of this paper",
        relationship="Supplement",
    )
