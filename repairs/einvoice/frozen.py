"""An issued invoice read back from what was kept of it, as it was on the day of issue."""

from __future__ import annotations

import dataclasses
import datetime as dt
import types
import typing
from decimal import Decimal
from functools import cache
from typing import Any

from repairs.einvoice.document import InvoiceDoc


def doc_from(content: dict[str, Any]) -> InvoiceDoc:
    """The same data that ``press.document.plain`` turned into JSON."""
    return typing.cast(InvoiceDoc, _read(InvoiceDoc, content))


@cache
def _types_of(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _read(kind: Any, value: Any) -> Any:
    if value is None:
        return None
    if isinstance(kind, types.UnionType):
        return _read(next(one for one in typing.get_args(kind) if one is not type(None)), value)
    if typing.get_origin(kind) is tuple:
        return tuple(_read(typing.get_args(kind)[0], item) for item in value)
    if dataclasses.is_dataclass(kind):
        known = _types_of(typing.cast(type, kind))
        return typing.cast(type, kind)(
            **{name: _read(known[name], item) for name, item in value.items() if name in known}
        )
    if kind is Decimal:
        return Decimal(value)
    return dt.date.fromisoformat(value) if kind is dt.date else value
