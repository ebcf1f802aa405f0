"""The fixtures of causes by kind of instrument, and their words in the reader’s language."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

from django.conf import settings
from django.utils.translation import gettext as _

from repairs.gauges.causes.table import Table, read_table
from repairs.instruments.kinds import kind_of
from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture

FOLDER = "causes"
Row = Mapping[str, Any]


class Symptom(NamedTuple):
    """What may be heard, felt or seen: its label and hint in the reader’s language."""

    key: str
    label: str
    hint: str


@cache
def files() -> tuple[str, ...]:
    """The fixtures, those that want most families of an instrument first; the last wants none."""
    names = sorted(file.stem for file in (settings.FIXTURES / FOLDER).glob("*.json"))
    return tuple(sorted(names, key=lambda name: -len(plain(name)["wants"])))


@cache
def plain(name: str) -> Row:
    """One fixture of causes, as it stands."""
    rows: Row = read_fixture(f"{FOLDER}/{name}.json")
    return rows


@cache
def plain_of(kind: str) -> Row:
    """The fixture that a kind of instrument asks for."""
    families = set(kind_of(kind).families)
    return next(plain(name) for name in files() if set(plain(name)["wants"]) <= families)


@cache
def table_of(kind: str) -> Table:
    """What is known of causes for a kind: those that it can have, read with its own sheets."""
    pattern = kind_of(kind)
    return read_table(
        plain_of(kind), pattern.families, gauges={sheet.gauge for sheet in pattern.sheets}
    )


def symptom_choices(kind: str) -> list[tuple[str, list[Symptom]]]:
    """Symptoms under the names of their groups, those of a kind of instrument only."""
    rows, known = plain_of(kind), set(table_of(kind).symptoms)
    groups = []
    for group in rows["groups"]:
        found = [
            Symptom(row["key"], in_language(row["label"]), in_language(row["hint"]))
            for row in rows["symptoms"]
            if row["group"] == group["key"] and row["key"] in known
        ]
        if found:
            groups.append((in_language(group["label"]), found))
    return groups


class PastWord(NamedTuple):
    """A word of the history; ``key`` names its field, ``dated``: it counts by how long ago."""

    key: str
    what: str
    label: str
    dated: bool


def history_choices(kind: str) -> list[PastWord]:
    """What may have happened to the instrument, where it bears on a cause of the kind."""
    asked = {one.what for cause in table_of(kind).causes for one in cause.history}
    rows = [row for row in plain_of(kind)["history"] if row["what"] in asked]
    found = [
        PastWord(
            row["what"].replace(" ", "_"), row["what"], in_language(row["label"]), row["dated"]
        )
        for row in rows
    ]
    return sorted(found, key=lambda one: one.label)


def label_of(kind: str, what: str, key: str, name: str = "key") -> str:
    """The label of a row: of ``symptoms``, ``causes``, ``figures``, ``looks`` or ``history``."""
    return in_language(_rows(kind, what, name)[key]["label"])


def labels_of(kind: str, keys: Iterable[str]) -> str:
    """The labels of causes, one after the other; those that this release does not know left out."""
    rows = _rows(kind, "causes", "key")
    return _listed([in_language(rows[key]["label"]) for key in keys if key in rows])


def labels_anywhere(keys: Iterable[str]) -> str:
    """The same where nobody says of which kind of instrument they are."""
    rows = {row["key"]: row for name in files() for row in plain(name)["causes"]}
    return _listed([in_language(rows[key]["label"]) for key in keys if key in rows])


def _listed(labels: list[str]) -> str:
    return ", ".join(labels) or _("none of the causes listed")


def row_of(kind: str, what: str, key: str) -> Row:
    """A whole row of the fixture; KeyError when there is none."""
    return _rows(kind, what, "key")[key]


@cache
def _rows(kind: str, what: str, name: str) -> Mapping[str, Row]:
    return {row[name]: row for row in plain_of(kind)[what]}
