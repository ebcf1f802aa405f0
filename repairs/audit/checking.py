"""Hold everything against the log: its own lines, the rows that it vouches for, the database."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import DatabaseError
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.audit.actions import ChainFault, chain_faults
from repairs.audit.anchors import line_with
from repairs.audit.covers import bound
from repairs.audit.erasing import erased_rows
from repairs.audit.integrity import database_faults
from repairs.audit.level import Behind, behind
from repairs.audit.models import LogEntry, Voucher
from repairs.audit.told import told
from repairs.audit.vouched import Vouched, columns, vouched_models
from repairs.storage.rows import chunked

Text = str | Promise
UNREADABLE = (DatabaseError, ArithmeticError, ValueError, TypeError, AttributeError)


@dataclass(frozen=True)
class Fault:
    """One thing that is not as it was written: where, and what."""

    where: Text
    what: Text

    def __str__(self) -> str:
        return _("%(where)s: %(what)s") % {"where": self.where, "what": self.what}


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
    yield from (Fault(_("database"), words) for words in database_faults())
    yield from mark_faults(behind())


def _of_line(fault: ChainFault) -> Fault:
    return Fault(_line(fault.seq), fault.what)


def _line(seq: int) -> Text:
    return told(_("line %(seq)s"), seq=seq)


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
                yield Fault(_line(seq), _("what it vouches for was changed"))


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


def _wrong(model: type[Vouched], found: Any, values: Any, *, is_erased: bool) -> Text:
    """What is wrong with a row; empty when nothing is."""
    if found is None:
        return _("it stands in the database and no line vouches for it")
    line, number, digest, personal, salt = found
    if not digest and not personal:
        return told(_("line %(line)s says that it was removed"), line=line)
    if not 0 < number <= len(model.covers):
        return told(
            _("line %(line)s vouches for it in a way that this release does not know"), line=line
        )
    try:
        now = model.covers[number - 1].digests(values, salt)
    except UNREADABLE:
        return _("its values cannot be read")
    if personal and not salt and not is_erased:
        return _("its salt was taken away, and no line says that its values were erased")
    if now[0] != digest or (salt and now[1] != personal):
        return told(_("it is not what line %(line)s vouched for"), line=line)
    return ""


def missing_rows(table: str, model: type[Vouched]) -> Iterator[Fault]:
    """Rows that a line vouches for and that are there no more."""
    asked = Voucher.objects.filter(table=table).order_by("row").values_list("row", flat=True)
    for some in chunked(asked.distinct().iterator()):
        there = set(model._base_manager.filter(pk__in=some).values_list("pk", flat=True))
        gone = [row for row in some if row not in there]
        for row, (line, _cover, digest, personal, _salt) in _newest(table, gone).items():
            if digest or personal:
                what = told(_("it is missing; line %(line)s vouches for it"), line=line)
                yield Fault(f"{table} {row}", what)


def _unknown_tables() -> Iterator[Fault]:
    known = list(vouched_models())
    others = Voucher.objects.exclude(table__in=known).values_list("table", flat=True)
    for table in others.distinct():
        yield Fault(table, _("lines vouch for rows of a kind that this release does not know"))


def paper_faults() -> Iterator[Fault]:
    """Issued papers that bear a head of the log which the log does not have."""
    papers: Any = vouched_models()["paper"]._base_manager.order_by("pk")
    asked = papers.exclude(data__seal__head=None).values_list("pk", "data__seal__head")
    for row, borne in asked.iterator():
        if borne is None:  # a paper of before; databases differ in what they call an absent key
            continue
        digest = borne.get("sha256") if isinstance(borne, dict) else None
        found = line_with(str(digest)) if digest else None
        if found is None or found.seq != borne.get("seq"):
            yield Fault(f"paper {row}", _("it bears a head that is not in the log"))


def mark_faults(found: Behind | None) -> Iterator[Fault]:
    """What lies beside the files and knows more than the database."""
    if found is None:
        return
    where = _("marks beside the files")
    if found.known is None:
        yield Fault(where, _("they cannot be read"))
        return
    line = found.known.line
    if found.head.seq < line.seq:
        what = told(
            _("they know line %(known)s; the log ends at line %(last)s"),
            known=line.seq,
            last=found.head.seq,
        )
        yield Fault(where, what)
    elif not found.reaches:
        yield Fault(where, told(_("line %(line)s is another one in this log"), line=line.seq))
    for lost in found.numbers:
        what = _("number %(number)s was given out; the database does not know it")
        yield Fault(where, told(what, number=lost.numbers[1]))
