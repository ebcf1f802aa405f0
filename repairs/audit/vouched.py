"""Rows that the log vouches for: whoever writes one inside a deed, its hash enters the chain."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar, TypeVar

from django.db import models

from repairs.audit.covers import Cover
from repairs.audit.open_deeds import present_deed

M = TypeVar("M", bound=models.Model)


class VouchedQuerySet(models.QuerySet[M]):
    """Rows written or removed many at a time are vouched for like single ones."""

    def bulk_create(self, objs: Iterable[M], *args: Any, **kwargs: Any) -> list[M]:
        """Write the rows, and vouch for each."""
        made = super().bulk_create(objs, *args, **kwargs)
        if (deed := present_deed()) is not None:
            for row in made:
                if row.pk is not None:  # a conflict that was passed over wrote nothing
                    deed.touch(self.model, row.pk)
        return made

    def update(self, **values: Any) -> int:
        """Change the rows, and vouch for each as it stands then."""
        if (deed := present_deed()) is None:
            return super().update(**values)
        # Asked before: afterwards they may answer to the question no more.
        rows = list(self.order_by().values_list("pk", flat=True))
        changed = super().update(**values)
        for row in rows:
            deed.touch(self.model, row)
        return changed

    def delete(self) -> tuple[int, dict[str, int]]:
        """Remove the rows, and say so of each."""
        rows = list(self.order_by().values_list("pk", flat=True))
        answer = super().delete()
        if (deed := present_deed()) is not None:
            for row in rows:
                deed.touch(self.model, row, stands=False)
        return answer


class Vouched(models.Model):
    """A row that no one may change past the log; ``covers`` says what of it, the newest last.

    Stands before WrittenOnce and the like among the bases; its manager is of VouchedQuerySet, or of
    one that derives from it. What a cascade removes is not seen here: the check would miss it.
    """

    covers: ClassVar[tuple[Cover, ...]] = ()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the row; the deed vouches for it at its end."""
        super().save(*args, **kwargs)
        if (deed := present_deed()) is not None:
            deed.touch(type(self), self.pk)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Remove the row; the deed says so at its end."""
        row = self.pk
        answer = super().delete(*args, **kwargs)
        if (deed := present_deed()) is not None:
            deed.touch(type(self), row, stands=False)
        return answer


def vouched_models() -> dict[str, type[Vouched]]:
    """Every kind of row that is vouched for, by the name that vouchers call it."""
    kinds = {str(one._meta.model_name): one for one in Vouched.__subclasses__()}
    return dict(sorted(kinds.items()))


def columns(model: type[models.Model], cover: Cover) -> list[str]:
    """What the rows are asked for, so that foreign keys come as the keys that they are."""
    return [model._meta.get_field(name).attname for name in cover.covered]  # type: ignore[union-attr]
