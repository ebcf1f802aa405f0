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
    "setup",
    "money",
    "readings",
    "drawings",
    "maps",
    "tagger",
    "counter",
    "look",
)
# Of the letters, those that every page shows in its first line.
FIRST_LETTERS = ("atelier-text-400", "atelier-engraved-600")
# All of them as one sheet, when a server has gathered what pages fetch.
BUNDLE = "repairs/css/house.css"
