"""Let personal values go: the log stays whole, and nothing in it tells what they were."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.contrib.auth.base_user import AbstractBaseUser

from repairs.audit.actions import deed, record
from repairs.audit.models import LogEntry, Voucher
from repairs.audit.vouched import Vouched

VERB = "values.erased"


@deed()
def erase_values(
    rows: Iterable[Vouched], *, by: AbstractBaseUser | None, at: dt.datetime, because: str
) -> None:
    """Take the salts from all vouchers of the rows, so that nobody can guess what they covered.

    To be called in the deed that empties the values. What is left of the rows stays vouched for.
    ``because`` is a key, such as ``retention`` or ``request``.
    """
    by_table: dict[str, list[int]] = {}
    for row in rows:
        by_table.setdefault(str(row._meta.model_name), []).append(row.pk)
    for table, keys in by_table.items():
        Voucher.objects.filter(table=table, row__in=keys).update(salt="")
        record(by, VERB, f"rows:{table}", at=at, rows=sorted(keys), because=because)


def erased_rows(table: str) -> set[int]:
    """The rows of a table of which a line says that their personal values were erased."""
    lines = LogEntry.objects.filter(verb=VERB, subject=f"rows:{table}")
    return {int(row) for told in lines.values_list("details", flat=True) for row in told["rows"]}
