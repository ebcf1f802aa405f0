"""No page breaks because a case has grown.

Django 5.2 fetches what a *forward* relation points to by one OR for each row, and SQLite refuses
more than 1,000 of them ("Expression tree is too large"). Rows that a foreign key points to are
therefore joined: ``Prefetch("spells", WorkSpell.objects.select_related("person"))``, never
``prefetch_related("spells__person")``.

This reads every lookup, also where no test has a row to fetch for; ``tests/prefetches.py`` guards
those that run, also by names that are not written out or lead both ways.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db.models import ForeignKey

ROOT = Path(settings.BASE_DIR)


def forward_names() -> set[str]:
    """Names of foreign keys and one-to-one fields, but for those that a way back bears as well."""
    models = list(apps.get_app_config("repairs").get_models())
    fields = [field for model in models for field in model._meta.get_fields()]
    back = {field.name for field in fields if field.is_relation and not field.concrete}
    back |= {field.name for field in fields if field.many_to_many}
    return {field.name for field in fields if isinstance(field, ForeignKey)} - back


def lookups(file: Path) -> Iterator[tuple[str, str]]:
    """Yield (where, lookup) of every relation that is fetched beside its rows."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        words = node.args if name == "prefetch_related" else node.args[:1]
        if name not in ("prefetch_related", "Prefetch", "prefetch_related_objects"):
            continue
        for word in words:
            if isinstance(word, ast.Constant) and isinstance(word.value, str):
                yield f"{file.relative_to(ROOT)}:{node.lineno}", word.value


def every_lookup() -> list[tuple[str, str]]:
    files = sorted((ROOT / "repairs").rglob("*.py"))
    return [found for file in files for found in lookups(file)]


def test_what_a_row_points_to_is_joined_and_never_fetched_beside_it():
    forward = forward_names()

    found = every_lookup()

    assert len(found) > 20
    assert {"person", "photo", "piece"} <= forward
    assert [(where, path) for where, path in found if forward & set(path.split("__"))] == []
