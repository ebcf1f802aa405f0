"""One form for each value, whichever database it came from; and back.

Both databases give the same line for the same row: so two dumps are compared by their SHA-256.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from decimal import Context, Decimal
from typing import Any
from uuid import UUID

from repairs.keep.tables import (
    BOOLEAN,
    DATE,
    DATETIME,
    DECIMAL,
    FLOAT,
    JSON_,
    UUID_,
    Column,
    Table,
)

Convert = Callable[[Any], Any]
# SQLite keeps decimals as binary numbers; fifteen digits are what it gives back (as Django reads).
FIFTEEN = Context(prec=15)
EXACT = Context(prec=60)
FLOATS_WHOLE = 1e16  # from here on PostgreSQL writes a number without its exponent


def line(table: Table, row: tuple[Any, ...], converts: list[Convert | None]) -> str:
    """A row as one line of JSON, its keys sorted."""
    said = {
        column.name: value if value is None or convert is None else convert(value)
        for column, value, convert in zip(table.columns, row, converts, strict=True)
    }
    return json.dumps(said, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def outward(column: Column) -> Convert | None:
    """How a value of either database becomes what the bundle holds; None where it is that."""
    if column.kind == DECIMAL:
        step = Decimal(1).scaleb(-column.places)
        return lambda value: format(_exact(value).quantize(step, context=EXACT), "f")
    return OUTWARD.get(column.kind)


def _exact(value: Any) -> Decimal:
    return FIFTEEN.create_decimal_from_float(value) if isinstance(value, float) else Decimal(value)


def _moment(value: Any) -> str:
    if isinstance(value, str):  # SQLite: UTC, with a blank
        return f"{value[:10]}T{value[11:]}Z"
    return value.astimezone(dt.UTC).replace(tzinfo=None).isoformat() + "Z"  # type: ignore[no-any-return]


def _number(text: str) -> float | int:
    value = float(text) + 0.0  # jsonb knows no minus nought
    return int(value) if value.is_integer() and abs(value) >= FLOATS_WHOLE else value


def _json(value: Any) -> Any:
    return json.loads(value, parse_float=_number) if isinstance(value, str | bytes) else value


def _uuid(value: Any) -> str:
    return str(value if isinstance(value, UUID) else UUID(hex=value))


OUTWARD: dict[str, Convert] = {
    BOOLEAN: bool,
    DATETIME: _moment,
    DATE: str,
    FLOAT: float,
    UUID_: _uuid,
    JSON_: _json,
}
SQLITE_INWARD: dict[str, Convert] = {
    BOOLEAN: int,
    DATETIME: lambda text: text.replace("T", " ").removesuffix("Z"),
    UUID_: lambda text: text.replace("-", ""),
    JSON_: json.dumps,
}
POSTGRES_INWARD: dict[str, Convert] = {JSON_: json.dumps}
INWARD = {"sqlite": SQLITE_INWARD, "postgresql": POSTGRES_INWARD}


def inward(column: Column, vendor: str) -> Convert | None:
    """How a value of a bundle becomes what that database takes; None where it is that."""
    return INWARD[vendor].get(column.kind)
