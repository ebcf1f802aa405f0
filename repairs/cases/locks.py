"""Who changes something of a case holds the case: one order of locks for every verb."""

from __future__ import annotations

from repairs.cases.models import Case, CaseQuerySet


def locked_case(pk: int) -> Case:
    """The case as it stands now, held until the deed is over.

    Every verb that changes anything of a case calls this first, before it reads what it decides
    by and before it locks or writes a row of the case. Two verbs on one case then come one after
    the other, and none can hold what the other waits for. The head of the log is locked last.

    The lock leaves the key alone (``FOR NO KEY UPDATE``): a row that merely names the case, such
    as an invoice, need not wait. SQLite has one writer at a time, and ignores it.
    """
    return _held().get(pk=pk)


def hold_case(number: str) -> None:
    """The same for rooms that know a case by its number; what is for no case holds none."""
    if number:
        _held().filter(number=number).first()


def _held() -> CaseQuerySet:
    return Case.objects.select_for_update(no_key=True)
