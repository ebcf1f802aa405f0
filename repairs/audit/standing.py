"""Lines for the rows that stood before the log vouched for any; called once, by its migration."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any

from django.db import DEFAULT_DB_ALIAS
from django.utils import timezone

from repairs.audit.actions import line_hash
from repairs.audit.covers import bound
from repairs.audit.vouched import columns, vouched_models
from repairs.audit.vouching import as_bound, voucher
from repairs.storage.rows import chunked

VERB = "rows.vouched_from_here"
AT_ONCE = 5000
ModelThen = Callable[[str], Any]


def vouch_for_what_stands(
    model_then: ModelThen, using: str = DEFAULT_DB_ALIAS, tables: Collection[str] = ()
) -> None:
    """Let the log vouch for every row as it is found: from these lines on, no change is unseen.

    What was changed before cannot be told. The rows are asked for as the house was at that
    migration (``model_then``), by the first cover of their kind, which never changes; ``using``
    names the database that is migrated, which a restore has beside the house. A later migration
    names the ``tables`` that are vouched for from it on; a house that comes from before both has
    had them vouched for by the first.
    """
    for table, model in vouched_models().items():
        if tables and (table not in tables or _is_vouched(model_then, table, using)):
            continue
        try:
            then = model_then(table)
        except LookupError:  # a kind of row of a later release
            continue
        cover = model.covers[0]
        rows_then = then._base_manager.using(using).order_by("pk")
        asked = rows_then.values_list("pk", *columns(then, cover))
        for rows in chunked(asked.iterator(), AT_ONCE):
            kind = model_then("voucher")
            made = [voucher(table, 1, cover, row, said, kind) for row, *said in rows]
            _write(model_then, table, made, using)


def _is_vouched(model_then: ModelThen, table: str, using: str) -> bool:
    return bool(model_then("voucher").objects.using(using).filter(table=table).exists())


def _write(model_then: ModelThen, table: str, made: list[Any], using: str) -> None:
    """One line for so many rows, and their vouchers; the migration is alone in the house."""
    head, _created = model_then("loghead").objects.using(using).get_or_create(pk=1)
    entry = model_then("logentry")(
        seq=head.seq + 1,
        at=timezone.now(),
        verb=VERB,
        subject=f"rows:{table}",
        details={"first": made[0].row, "last": made[-1].row, "count": len(made)},
        vouched=bound(map(as_bound, made)),
        previous_hash=head.hash,
    )
    entry.hash = line_hash(entry)
    entry.save(force_insert=True, using=using)
    for one in made:
        one.entry_id = entry.seq
    model_then("voucher").objects.using(using).bulk_create(made, batch_size=500)
    head.seq, head.hash = entry.seq, entry.hash
    head.save(using=using)
