"""The rows of a whole house as plain data, table by table, written and read through any state of
the models; so a house of an earlier release can be filled as that release knew it.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Mapping
from typing import Any, Protocol

from django.db import transaction
from django.db.models import Model

APP = "repairs"
Row = dict[str, Any]
Tables = dict[str, list[Row]]


class Models(Protocol):
    """The models of today (``django.apps.apps``) or of an earlier migration."""

    def get_app_config(self, app_label: str) -> Any: ...


def models_of(apps: Models) -> Iterator[type[Model]]:
    """Every table of the house, with those that join two of its own."""
    for model in apps.get_app_config(APP).get_models(include_auto_created=True):
        targets = {
            field.related_model._meta.app_label for field in model._meta.fields if field.is_relation
        }
        if not model._meta.auto_created or targets == {APP}:
            yield model


def rows_of(model: type[Model]) -> list[Row]:
    """All rows of a table by the names of its columns, as JSON keeps them."""
    names = [field.attname for field in model._meta.concrete_fields]
    rows = model._base_manager.order_by("pk").values(*names)
    plain: list[Row] = json.loads(json.dumps(list(rows), default=_plain))
    return plain


def _plain(value: object) -> str:
    """To the microsecond, which Django's own encoder drops, and the log's hashes hold."""
    return value.isoformat() if isinstance(value, dt.date | dt.time) else str(value)


def dumped(apps: Models) -> Tables:
    return {model.__name__: rows_of(model) for model in models_of(apps)}


def fill(apps: Models, tables: Mapping[str, list[Row]]) -> None:
    """Write the rows as they stand, keys and all, into an empty house of that state.

    In one transaction, at whose end the database asks whether all that is pointed at is there.
    """
    known = {model.__name__: model for model in models_of(apps)}
    with transaction.atomic():
        for name, rows in tables.items():
            model = known[name]
            fields = {field.attname: field for field in model._meta.concrete_fields}
            made = [
                model(**{key: fields[key].to_python(value) for key, value in row.items()})
                for row in rows
            ]
            model._base_manager.bulk_create(made)


def written(release: str, leaf: str, tables: Tables) -> str:
    """The file of a kept release: JSON with one row a line, so that it can be read and compared."""
    blocks = []
    for name, rows in tables.items():
        lines = ",\n".join(json.dumps(row, ensure_ascii=False) for row in rows)
        blocks.append(f"{json.dumps(name)}: [\n{lines}\n]")
    body = ",\n".join(blocks)
    return f'{{"release": "{release}", "leaf": "{leaf}", "tables": {{\n{body}\n}}}}\n'
