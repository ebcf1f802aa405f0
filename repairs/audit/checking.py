"""Hold everything against the log: its own lines, the rows that it vouches for, the database."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import DatabaseError

from repairs.audit.actions import ChainFault, chain_faults
from repairs.audit.anchors import line_with
from repairs.audit.covers import bound
from repairs.audit.erasing import erased_rows
from repairs.audit.integrity import database_faults
from repairs.audit.level import Behind, behind
from repairs.audit.models import LogEntry, Voucher
from repairs.audit.vouched import Vouched, columns, vouched_models
from repairs.storage.rows import chunked

UNREADABLE = (DatabaseError, ArithmeticError, ValueError, TypeError, AttributeError)


@dataclass(frozen=True)
class Fault:
    """One thing that is not as it was written: where, and what."""

    where: str
    what: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"


@dataclass
class Count:
    """How much was held against the log; filled while the faults are walked through."""

    lines: int = 0
    rows: int = 0
    erased: int = 0


def all_faults(count: Count) -> Iterator[Fault]:
    """Every fault there is, row by row, so that a log of thirty years fits."""
    yield from (_of_line(fault) for fault in chain_faults())
    yield from voucher_faults(count)
    for table, model in vouched_models().items():
        yield from row_faults(table, model, count)
        yield from missing_rows(table, model)
    yield from _unknown_tables()
    yield from paper_faults()
    yield from (Fault("database", words) for words in database_faults())
    yield from mark_faults(behind())


def _of_line(fault: ChainFault) -> Fault:
    return Fault(f"line {fault.seq}", fault.what)


def voucher_faults(count: Count) -> Iterator[Fault]:
    """Lines whose vouchers are not those that were written with them."""
    lines = LogEntry.objects.order_by("seq").values_list("seq", "vouched").iterator()
    for some in chunked(lines):
        count.lines += len(some)
        kept: dict[int, list[tuple[Any, ...]]] = {}
        rows = Voucher.objects.filter(entry_id__gte=some[0][0], entry_id__lte=some[-1][0])
        for entry, *one in rows.values_list(
            "entry_id", "table", "row", "cover", "digest", "personal"
        ):
            kept.setdefault(entry, []).append(tuple(one))
        for seq, vouched in some:
            if bound(kept.get(seq, [])) != vouched:
                yield Fault(f"line {seq}", "what it vouches for was changed")


def row_faults(table: str, model: type[Vouched], count: Count) -> Iterator[Fault]:
    """Rows that are not what the newest voucher says, or for which there is none."""
    erased = erased_rows(table)
    keys = model._base_manager.order_by("pk").values_list("pk", flat=True).iterator()
    for some in chunked(keys):
        newest = _newest(table, some)
        for row, values in _read(model, some, newest):
            count.rows += 1
            found = newest.get(row)
            if found is not None and found[3] and not found[4]:
                count.erased += 1
            if what := _wrong(model, found, values, is_erased=row in erased):
                yield Fault(f"{table} {row}", what)


# Of a voucher: the line, the number of the cover, both digests, the salt.
_Newest = Mapping[int, tuple[int, int, str, str, str]]


def _newest(table: str, rows: list[int]) -> dict[int, tuple[int, int, str, str, str]]:
    asked = Voucher.objects.filter(table=table, row__in=rows).order_by("entry_id")
    found = asked.values_list("row", "entry_id", "cover", "digest", "personal", "salt")
    return {row: (entry, *rest) for row, entry, *rest in found}  # type: ignore[misc]


def _read(model: type[Vouched], rows: list[int], newest: _Newest) -> Iterator[tuple[int, Any]]:
    """The rows with the values that their covers name; None where a value cannot even be read."""
    covers: dict[int, list[int]] = {}
    for row in rows:
        number = newest[row][1] if row in newest else len(model.covers)
        covers.setdefault(number, []).append(row)
    for number, some in covers.items():
        names = columns(model, model.covers[number - 1]) if 0 < number <= len(model.covers) else []
        try:
            yield from list(_asked(model, some, names))
        except UNREADABLE:  # SQLite keeps any text in any column: one row at a time finds it
            yield from ((row, _alone(model, row, names)) for row in some)


def _asked(model: type[Vouched], rows: list[int], names: list[str]) -> Iterator[tuple[int, Any]]:
    found = model._base_manager.filter(pk__in=rows).order_by("pk").values_list("pk", *names)
    return ((row, values) for row, *values in found)


def _alone(model: type[Vouched], row: int, names: list[str]) -> Any:
    try:
        return next(values for _row, values in _asked(model, [row], names))
    except UNREADABLE:
        return None


def _wrong(model: type[Vouched], found: Any, values: Any, *, is_erased: bool) -> str:
    """What is wrong with a row; empty when nothing is."""
    if found is None:
        return "it stands in the database and no line vouches for it"
    line, number, digest, personal, salt = found
    if not digest and not personal:
        return f"line {line} says that it was removed"
    if not 0 < number <= len(model.covers):
        return f"line {line} vouches for it in a way that this release does not know"
    try:
        now = model.covers[number - 1].digests(values, salt)
    except UNREADABLE:
        return "its values cannot be read"
    if personal and not salt and not is_erased:
        return "its salt was taken away, and no line says that its values were erased"
    if now[0] != digest or (salt and now[1] != personal):
        return f"it is not what line {line} vouched for"
    return ""


def missing_rows(table: str, model: type[Vouched]) -> Iterator[Fault]:
    """Rows that a line vouches for and that are there no more."""
    asked = Voucher.objects.filter(table=table).order_by("row").values_list("row", flat=True)
    for some in chunked(asked.distinct().iterator()):
        there = set(model._base_manager.filter(pk__in=some).values_list("pk", flat=True))
        gone = [row for row in some if row not in there]
        for row, (line, _cover, digest, personal, _salt) in _newest(table, gone).items():
            if digest or personal:
                yield Fault(f"{table} {row}", f"it is missing; line {line} vouches for it")


def _unknown_tables() -> Iterator[Fault]:
    known = list(vouched_models())
    others = Voucher.objects.exclude(table__in=known).values_list("table", flat=True)
    for table in others.distinct():
        yield Fault(table, "lines vouch for rows of a kind that this release does not know")


def paper_faults() -> Iterator[Fault]:
    """Issued papers that bear a head of the log which the log does not have."""
    papers: Any = vouched_models()["paper"]._base_manager.order_by("pk")
    asked = papers.exclude(data__seal__head=None).values_list("pk", "data__seal__head")
    for row, told in asked.iterator():
        if told is None:  # a paper of before; databases differ in what they call an absent key
            continue
        digest = told.get("sha256") if isinstance(told, dict) else None
        found = line_with(str(digest)) if digest else None
        if found is None or found.seq != told.get("seq"):
            yield Fault(f"paper {row}", "it bears a head that is not in the log")


def mark_faults(found: Behind | None) -> Iterator[Fault]:
    """What lies beside the files and knows more than the database."""
    if found is None:
        return
    where = "marks beside the files"
    if found.known is None:
        yield Fault(where, "they cannot be read")
        return
    line = found.known.line
    if found.head.seq < line.seq:
        yield Fault(where, f"they know line {line.seq}; the log ends at line {found.head.seq}")
    elif not found.reaches:
        yield Fault(where, f"line {line.seq} is another one in this log")
    for lost in found.numbers:
        yield Fault(where, f"number {lost.numbers[1]} was given out; the database does not know it")
