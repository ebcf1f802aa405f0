"""The parts of the screens' style, in the order in which they build on one another."""

from __future__ import annotations

STYLES = (
    "tokens",
    "dark",
    "letters",
    "ground",
    "board",
    "keys",
    "sheets",
    "docket",
    "signs",
    "tables",
    "forms",
    "plate",
    "bench",
    "steps",
    "bench-card",
    "money",
    "readings",
    "tagger",
)
# Of the letters, those that every page shows in its first line.
FIRST_LETTERS = ("atelier-text-400", "atelier-engraved-600")
