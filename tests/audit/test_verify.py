"""Whoever touches the log is found out by the command that walks it."""

from __future__ import annotations

import datetime as dt
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db.models import F

from repairs.audit.actions import line_hash
from repairs.audit.models import LogEntry, LogHead, LogSalt
from tests.audit.writing import said

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def lines(db) -> list[LogEntry]:
    """Five lines, the third with a hashed value."""
    return [
        said(
            None,
            "case.moved",
            "case:2026-001",
            at=AT + dt.timedelta(minutes=number),
            hashed={"words": "It growls"} if number == 2 else None,
            step="agreed",
            count=number,
        )
        for number in range(5)
    ]


def verify() -> str:
    out = StringIO()
    call_command("verify_log", stdout=out)
    return out.getvalue()


def faults() -> str:
    """What the command says of a broken log, after it has ended as a failure."""
    err = StringIO()
    with pytest.raises(CommandError) as failure:
        call_command("verify_log", stdout=StringIO(), stderr=err)
    assert failure.value.returncode != 0
    return err.getvalue()


def test_an_untouched_log_is_found_whole(lines):
    said = verify()

    assert "all 5 lines" in said


def test_an_empty_log_is_found_whole(db):
    assert "all 0 lines" in verify()


@pytest.mark.parametrize(
    "change",
    [
        {"details": {"step": "proved", "count": 1}},
        {"verb": "case.changed"},
        {"subject": "case:2026-002"},
        {"at": AT + dt.timedelta(days=1)},
    ],
    ids=lambda change: next(iter(change)),
)
def test_a_changed_line_is_found(lines, change):
    LogEntry.objects.filter(seq=2).update(**change)

    assert "line 2: its content was changed" in faults()


def test_a_line_put_to_another_person_is_found(lines, armand):
    LogEntry.objects.filter(seq=2).update(actor=armand)

    assert "line 2: its content was changed" in faults()


def test_a_changed_line_with_a_hash_made_to_fit_is_found(lines):
    forged = LogEntry.objects.get(seq=2)
    forged.details = {"step": "proved", "count": 1}
    LogEntry.objects.filter(seq=2).update(details=forged.details, hash=line_hash(forged))

    assert "line 3: it does not follow from the line before" in faults()


def test_a_removed_line_is_found(lines):
    LogEntry.objects.filter(seq=2)._raw_delete("default")

    assert "line 2 is missing" in faults()


def test_a_removed_line_is_found_even_when_the_numbers_are_closed_up(lines):
    LogSalt.objects.all().delete()
    LogEntry.objects.filter(seq=2)._raw_delete("default")
    for seq in (3, 4, 5):
        LogEntry.objects.filter(seq=seq).update(seq=F("seq") - 1)

    assert "line 2: it does not follow from the line before" in faults()


def test_an_inserted_line_is_found(lines):
    last = lines[-1]
    forged = LogEntry(
        seq=6, at=AT, verb="case.moved", subject="case:2026-001", previous_hash=last.hash
    )
    forged.hash = line_hash(forged)
    forged.save(force_insert=True)

    assert "lines at the end" in faults()


def test_two_lines_that_changed_places_are_found(lines):
    LogEntry.objects.filter(seq=4).update(seq=99)
    LogEntry.objects.filter(seq=5).update(seq=4)
    LogEntry.objects.filter(seq=99).update(seq=5)

    assert "line 4: it does not follow from the line before" in faults()


def test_a_cut_tail_is_found(lines):
    LogEntry.objects.filter(seq__gt=3)._raw_delete("default")

    assert "lines at the end are missing" in faults()


def test_a_cut_tail_is_found_when_the_head_is_cut_off_too(lines):
    LogEntry.objects.filter(seq__gt=3)._raw_delete("default")
    LogHead.objects.all().delete()

    assert "the end of the chain is missing" in faults()


def test_a_log_that_was_emptied_is_found(lines):
    LogSalt.objects.all().delete()
    LogEntry.objects.all()._raw_delete("default")

    assert "lines at the end are missing" in faults()


def test_erasing_the_salts_leaves_the_chain_valid(lines):
    erased, _by_kind = LogSalt.objects.all().delete()

    assert erased == 1
    assert "all 5 lines" in verify()
