"""Rows of the database that are written once: what happens later is another row."""

from __future__ import annotations

from typing import Any

from django.db import models


class WrittenOnce(models.Model):
    """A row that is never rewritten."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError(f"A {self._meta.model_name} is never rewritten: add another row.")
        super().save(*args, **kwargs)


class KeptForEver(WrittenOnce):
    """A row that is never removed either."""

    class Meta:
        abstract = True

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise TypeError(f"A {self._meta.model_name} is never removed.")
