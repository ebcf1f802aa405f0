"""Make the vouchers of what a deed wrote, and let personal values go without a trace of them."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from typing import Any

from repairs.audit.covers import Cover
from repairs.audit.models import Voucher
from repairs.audit.open_deeds import Touched
from repairs.audit.vouched import Vouched, columns
from repairs.storage.rows import chunked


def vouchers_of(touched: Touched) -> list[Voucher]:
    """A voucher for each row that was written, read back as it stands, and each that was removed.

    Read back, since what lies in memory may be stale in the fields that were not saved, and a
    database rounds and shortens.
    """
    made: list[Voucher] = []
    for model, rows in touched.items():
        if not issubclass(model, Vouched):
            continue
        table, number = str(model._meta.model_name), len(model.covers)
        gone = sorted(row for row, stands in rows.items() if not stands)
        made += [Voucher(table=table, row=row, cover=number) for row in gone]
        standing = sorted(row for row, stands in rows.items() if stands)
        for some in chunked(standing):
            kept = model._base_manager.filter(pk__in=some)
            asked = kept.values_list("pk", *columns(model, model.covers[-1]))
            made += [voucher(table, number, model.covers[-1], row, said) for row, *said in asked]
    return made


def voucher(
    table: str, number: int, cover: Cover, row: int, values: Sequence[Any], kind: Any = Voucher
) -> Any:
    """The voucher of one row, with a salt of its own where it has personal values."""
    # A salt a row: values are few, and one salt for all would let a list of names be tried once.
    salt = secrets.token_hex(16) if cover.personal else ""
    digest, personal = cover.digests(values, salt)
    return kind(table=table, row=row, cover=number, digest=digest, personal=personal, salt=salt)


def as_bound(voucher: Any) -> tuple[str, int, int, str, str]:
    """What of a voucher enters the line; not the salt, which may be erased."""
    return voucher.table, voucher.row, voucher.cover, voucher.digest, voucher.personal
