"""A house that stood before: a line a kind of row vouches for all of them, and says so."""

from __future__ import annotations

from functools import partial

from django.apps import apps

from repairs.audit.checking import Count, all_faults
from repairs.audit.models import LogEntry, LogHead, LogSalt, Voucher
from repairs.audit.standing import VERB, vouch_for_what_stands
from repairs.audit.vouched import vouched_models
from tests import factories


def forget() -> None:
    """As the former release left it: rows, and no voucher."""
    Voucher.objects.all()._raw_delete("default")
    LogSalt.objects.all().delete()
    LogEntry.objects.all()._raw_delete("default")
    LogHead.objects.all().delete()


def test_rows_that_stand_are_vouched_for_and_the_log_is_whole(case, armand):
    factories.string_reading(case, by=armand)
    factories.finding(case, by=armand)
    forget()
    assert [fault for fault in all_faults(Count()) if "no line vouches" in str(fault)]

    vouch_for_what_stands(partial(apps.get_model, "repairs"))

    assert [str(fault) for fault in all_faults(Count())] == []
    lines = LogEntry.objects.filter(verb=VERB)
    assert {line.subject for line in lines} >= {"rows:reading", "rows:finding"}
    row = case.readings.get().pk
    told = lines.get(subject="rows:reading").details
    assert told == {"first": row, "last": row, "count": 1}


def test_a_new_house_begins_with_an_empty_log(db):
    vouch_for_what_stands(partial(apps.get_model, "repairs"))

    assert not LogEntry.objects.exists()


def test_a_later_migration_vouches_for_kinds_that_no_line_knows_yet(case, armand):
    factories.estimate(case, by=armand, issued=False)
    forget()
    later = ("estimate", "option", "optionline")
    known = partial(apps.get_model, "repairs")
    vouch_for_what_stands(known, tables=later)
    assert {line.subject for line in LogEntry.objects.all()} == {f"rows:{one}" for one in later}
    lines = LogEntry.objects.count()

    vouch_for_what_stands(known, tables=later)  # of a house that comes from before both
    assert LogEntry.objects.count() == lines

    others = {name for name in vouched_models() if name not in later}
    vouch_for_what_stands(known, tables=others)

    assert [str(fault) for fault in all_faults(Count())] == []
