"""Rows of the database that are written once: what happens later is another row.

Rows are read so that it holds for thousands of them: what a row points at (a foreign key, a
one-to-one field) is joined by ``select_related``, also on the way to what is prefetched; only what
points at a row is prefetched. Django 5.2 asks SQLite for the first kind by “id = ? OR id = ? …”,
which SQLite refuses from 1,000 rows on (“Expression tree is too large”).
``select_related("draft").prefetch_related("draft__lines")`` holds, and so does
``Prefetch("payments", Payment.objects.select_related("reverses"))``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, TypeVar

from django.db import models

AT_ONCE = 500  # rows in one question; older SQLite takes 999 values
T = TypeVar("T")


def chunked(rows: Iterable[T], size: int = AT_ONCE) -> Iterator[list[T]]:
    """The rows, so many at a time."""
    rest = iter(rows)
    while some := list(islice(rest, size)):
        yield some


class WrittenOnce(models.Model):
    """A row that is never rewritten."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the row the first time. Raises TypeError on the second."""
        if not self._state.adding:
            raise TypeError(f"A {self._meta.model_name} is never rewritten: add another row.")
        super().save(*args, **kwargs)


class KeptForEver(WrittenOnce):
    """A row that is never removed either."""

    class Meta:
        abstract = True

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Raises TypeError: what was noted can be corrected, not unmade."""
        raise TypeError(f"A {self._meta.model_name} is never removed.")
