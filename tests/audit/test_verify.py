"""Whoever touches the log is found out by the command that walks it."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db.models import F
from django.utils import translation

from repairs.audit.actions import ChainFault, chain_faults, line_hash
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
    assert "all 5 lines" in verify()


def test_it_speaks_the_language_of_the_house_and_data_stays_as_it_is(lines):
    LogEntry.objects.filter(seq=2).update(verb="case.changed")
    err, out = StringIO(), StringIO()
    with translation.override("fr"), pytest.raises(CommandError) as failure:
        call_command("verify_log", "--json", stdout=out, stderr=err)

    assert "ligne 2\u00a0: son contenu a été modifié" in err.getvalue()
    assert str(failure.value) == "Le journal n’est pas ce qui a été écrit. Défauts\u00a0: 1."
    assert failure.value.returncode == 1
    assert json.loads(out.getvalue())["faults"] == [
        {"where": "line 2", "what": "its content was changed"}
    ]


def test_a_head_that_is_none_of_the_log_is_told_in_french_too(lines):
    err = StringIO()
    with translation.override("fr"), pytest.raises(CommandError):
        call_command("verify_log", "--head", "ab" * 10, stdout=StringIO(), stderr=err)

    assert f"tête {'ab' * 10}\u00a0: elle n’est pas dans ce journal" in err.getvalue()


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


END_MISSING = "the end of the chain is missing"
END_OFF = "lines at the end are missing, or were added unseen"


def test_a_line_is_hashed_as_it_is_published():
    """The canonical text of one line, written by hand: whoever checks can do the same."""
    line = LogEntry(
        seq=7,
        at=dt.datetime(2026, 11, 25, 10, 0, tzinfo=dt.timezone(dt.timedelta(hours=1))),
        actor_id=3,
        verb="case.moved",
        subject="case:2026-001",
        details={"step": "agreed", "because": "Gérard l’a dit"},
        previous_hash="ab" * 32,
    )
    text = (
        '{"actor":3,"at":"2026-11-25T09:00:00.000000+00:00",'
        '"details":{"because":"Gérard l’a dit","step":"agreed"},'
        '"previous":"abababababababababababababababababababababababababababababababab",'
        '"seq":7,"subject":"case:2026-001","verb":"case.moved"}'
    )

    assert line_hash(line) == hashlib.sha256(text.encode("utf-8")).hexdigest()


def test_a_head_cut_off_is_found_also_behind_a_single_line(db):
    said(None, "case.moved", "case:2026-001", at=AT)
    LogHead.objects.all().delete()

    assert list(chain_faults()) == [ChainFault(1, END_MISSING)]


def test_a_head_cut_off_is_told_at_the_last_line_that_is_there(lines):
    LogHead.objects.all().delete()

    assert list(chain_faults()) == [ChainFault(5, END_MISSING)]


@pytest.mark.parametrize(
    ("change", "told_at"),
    [({"seq": 4}, 4), ({"seq": 6}, 6), ({"seq": 7}, 7), ({"hash": "0" * 64}, 5)],
    ids=str,
)
def test_a_head_that_tells_another_end_is_found(lines, change, told_at):
    LogHead.objects.update(**change)

    assert list(chain_faults()) == [ChainFault(told_at, END_OFF)]


def test_a_missing_first_line_is_named_and_what_follows_is_told_once(lines):
    LogEntry.objects.filter(seq=1)._raw_delete("default")

    assert list(chain_faults()) == [
        ChainFault(2, "line 1 is missing"),
        ChainFault(2, "it does not follow from the line before"),
    ]


def test_a_gap_is_told_where_it_is_and_nowhere_after(lines):
    LogSalt.objects.all().delete()
    LogEntry.objects.filter(seq=3)._raw_delete("default")

    assert list(chain_faults()) == [
        ChainFault(4, "line 3 is missing"),
        ChainFault(4, "it does not follow from the line before"),
    ]


def test_a_log_begun_from_a_hash_of_another_is_found(lines):
    first = LogEntry.objects.get(seq=1)
    first.previous_hash = "f" * 64
    LogEntry.objects.filter(seq=1).update(previous_hash=first.previous_hash, hash=line_hash(first))

    assert ChainFault(1, "it does not follow from the line before") in chain_faults()
