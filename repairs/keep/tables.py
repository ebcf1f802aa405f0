"""Every table as data: its columns, what kind of value each holds, and by what it is sorted.

The description travels in the bundle, so that another program, or a later release, reads the rows
without our code.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django.apps import apps
from django.db import models
from django.db.migrations.recorder import MigrationRecorder

# A table that is not kept, and why. A test fails for one that is neither here nor kept.
LEFT_OUT = {
    "django_session": "who is signed in now; everybody signs in anew after a restore",
}
BY_SQLITE = frozenset({"sqlite_sequence", "sqlite_stat1", "sqlite_stat4"})
MARK = "keep_restoring"  # stands in a database into which a restore is on its way

INTEGER, TEXT, BOOLEAN, DATETIME, DATE = "integer", "text", "boolean", "datetime", "date"
DECIMAL, FLOAT, UUID_, JSON_ = "decimal", "float", "uuid", "json"
MEANINGS = {
    INTEGER: "a whole number",
    TEXT: "text",
    BOOLEAN: "true or false",
    DATETIME: "a moment in UTC, ISO 8601",
    DATE: "a day, ISO 8601",
    DECIMAL: "an exact decimal number, written as text",
    FLOAT: "a number",
    UUID_: "a UUID",
    JSON_: "JSON, its keys sorted",
}
KINDS = {
    "AutoField": INTEGER,
    "BigAutoField": INTEGER,
    "SmallIntegerField": INTEGER,
    "IntegerField": INTEGER,
    "BigIntegerField": INTEGER,
    "PositiveSmallIntegerField": INTEGER,
    "PositiveIntegerField": INTEGER,
    "PositiveBigIntegerField": INTEGER,
    "CharField": TEXT,
    "TextField": TEXT,
    "BooleanField": BOOLEAN,
    "DateTimeField": DATETIME,
    "DateField": DATE,
    "DecimalField": DECIMAL,
    "FloatField": FLOAT,
    "UUIDField": UUID_,
    "JSONField": JSON_,
}


@dataclass(frozen=True)
class Column:
    """A column; ``places`` are the decimals of an exact number, ``points_at`` another table."""

    name: str
    kind: str
    places: int = 0
    points_at: str = ""


@dataclass(frozen=True)
class Table:
    """A table, sorted by its key wherever it is written."""

    name: str
    key: str
    columns: tuple[Column, ...]

    def plain(self) -> dict[str, Any]:
        """As it is written into the bundle."""
        return asdict(self)


def read_table(plain: dict[str, Any]) -> Table:
    """A table as a bundle describes it. Raises KeyError or TypeError for no such thing."""
    columns = tuple(Column(**column) for column in plain["columns"])
    if unknown := {column.kind for column in columns} - set(MEANINGS):
        raise TypeError(f"kinds of value that nobody knows: {sorted(unknown)}")
    return Table(str(plain["name"]), str(plain["key"]), columns)


def kept_tables() -> tuple[Table, ...]:
    """All tables that a backup holds, by name: those of every model, and what was migrated."""
    found = [_described(model) for model in apps.get_models(include_auto_created=True)]
    found.append(_described(MigrationRecorder.Migration))
    kept = [table for table in found if table.name not in LEFT_OUT]
    return tuple(sorted(kept, key=lambda table: table.name))


def _described(model: type[models.Model]) -> Table:
    meta = model._meta
    columns = tuple(_column(field) for field in meta.concrete_fields)
    return Table(meta.db_table, meta.pk.column, columns)


def _column(field: models.Field[Any, Any]) -> Column:
    points_at = field.related_model._meta.db_table if field.is_relation else ""  # type: ignore[union-attr]
    final: Any = field
    while final.is_relation:
        final = final.target_field
    kind = KINDS.get(final.get_internal_type())
    if kind is None:
        raise TypeError(f"{field}: say in KINDS how a backup writes {final.get_internal_type()}")
    places = final.decimal_places if kind == DECIMAL else 0
    return Column(field.column, kind, places, points_at)
