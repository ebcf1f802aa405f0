"""Numbers never return: an older database under newer files issues nothing until that was read."""

from __future__ import annotations

import json
import logging

import pytest
from django.db import connection
from django.utils import timezone

from repairs.audit import anchors, level, marks, starting
from repairs.audit.actions import deed, record
from repairs.audit.anchors import as_mark
from repairs.audit.checking import Count, all_faults
from repairs.audit.lost import lost_with
from repairs.audit.models import LogEntry, LogHead, LogSalt, Voucher
from repairs.audit.refusals import BehindMarksError
from repairs.invoices.models import Invoice
from repairs.invoices.series_models import InvoiceSeries
from repairs.press.models import Paper
from repairs.storage import files as store
from tests import factories

pytestmark = pytest.mark.django_db(transaction=True)


def issue(payer, helene) -> Invoice:
    return factories.issued(factories.draft(payer, by=helene), by=helene)


@pytest.fixture
def put_back(shop, payer, case, helene):
    """The database as it was before the second invoice; what lies beside the files stays."""
    issue(payer, helene)
    head = LogHead.objects.get()
    last = issue(payer, helene)
    lost = anchors.current_head()
    Voucher.objects.filter(entry_id__gt=head.seq)._raw_delete("default")
    LogSalt.objects.filter(entry_id__gt=head.seq).delete()
    LogEntry.objects.filter(seq__gt=head.seq)._raw_delete("default")
    head.save()
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM repairs_taxrow WHERE invoice_id = %s", [last.pk])
        cursor.execute("DELETE FROM repairs_invoice WHERE id = %s", [last.pk])
        cursor.execute("DELETE FROM repairs_paper WHERE id = %s", [last.paper_id])
        cursor.execute("DELETE FROM repairs_draftline WHERE draft_id = %s", [last.draft_id])
        cursor.execute("DELETE FROM repairs_invoicedraft WHERE id = %s", [last.draft_id])
    InvoiceSeries.objects.filter(prefix="FA").update(last=1)
    return lost


def known() -> marks.Marks:
    told = marks.read()
    assert told is not None
    return told


def test_what_was_issued_is_marked_beside_the_files(shop, payer, helene):
    invoice = issue(payer, helene)

    assert known().line == as_mark(anchors.current_head())
    assert known().numbers[f"invoice/FA/{invoice.issued_on.year}"] == 1
    assert known().files == {"paper": invoice.paper_id}
    assert level.is_level()
    assert level.behind() is None


def test_an_older_database_issues_nothing_and_says_why(put_back, payer, case, helene, armand):
    with pytest.raises(BehindMarksError, match="no number was used"):
        issue(payer, helene)
    with pytest.raises(BehindMarksError):
        factories.receipt(case, by=armand)
    with pytest.raises(BehindMarksError):
        factories.case(case.instrument, by=armand)

    assert Invoice.objects.count() == 1
    assert Paper.objects.count() == 1


def test_what_is_missing_is_told_with_its_numbers(put_back):
    found = level.behind()

    assert found is not None
    assert found.lines == put_back.seq - anchors.current_head().seq > 0
    (lost,) = found.numbers
    year = timezone.localdate().year
    assert lost.numbers == (f"FA-{year}-0002",) * 2
    assert lost.label == "invoices, credit notes"
    assert [(one.mark, one.count) for one in found.files] == [("paper", 1)]


def test_the_check_of_the_log_tells_it_too(put_back):
    told = [str(fault) for fault in all_faults(Count())]

    assert [one for one in told if f"they know line {put_back.seq}" in one]
    assert [one for one in told if "0002 was given out" in one]


def test_once_a_principal_goes_on_no_number_returns(put_back, payer, helene):
    level.go_on(by=helene, at=timezone.now())

    line = LogEntry.objects.get(verb="house.went_on")
    assert (line.actor, line.details["sha256"]) == (helene, put_back.sha256)
    assert issue(payer, helene).number.endswith("-0003")
    assert level.behind() is None
    assert [str(fault) for fault in all_faults(Count())] == []
    lost = lost_with(put_back.sha256[:20])
    assert lost is not None
    assert lost.seq == put_back.seq


def test_going_on_where_nothing_is_missing_changes_nothing(shop, payer, helene):
    issue(payer, helene)

    level.go_on(by=helene, at=timezone.now())

    assert not LogEntry.objects.filter(verb="house.went_on").exists()


def test_other_deeds_go_on_and_do_not_hide_what_is_missing(put_back, owner, helene):
    for _line in range(put_back.seq - anchors.current_head().seq + 2):
        with deed():
            record(helene, "client.changed", owner, at=timezone.now())

    assert anchors.current_head().seq > put_back.seq
    assert not level.is_level()


def test_a_last_number_that_was_turned_back_is_found_though_the_log_is_whole(shop, payer, helene):
    issue(payer, helene)
    InvoiceSeries.objects.update(last=0)

    with pytest.raises(BehindMarksError):
        issue(payer, helene)


def test_marks_that_lag_are_no_harm_and_catch_up_at_the_start(shop, payer, helene):
    issue(payer, helene)
    before = marks.place().read_bytes()
    issue(payer, helene)
    marks.place().write_bytes(before)  # a process ended between its commit and its mark

    assert level.is_level()
    starting.tell_if_behind()
    assert known().line == as_mark(anchors.current_head())
    assert max(known().numbers.values()) == 2


def test_marks_that_lag_catch_up_with_the_next_deed(shop, payer, helene, owner):
    issue(payer, helene)
    before = marks.place().read_bytes()
    issue(payer, helene)
    marks.place().write_bytes(before)
    with deed():
        record(helene, "client.changed", owner, at=timezone.now())

    assert known().line == as_mark(anchors.current_head())
    assert max(known().numbers.values()) == 2


@pytest.mark.parametrize("content", ["", "{}", "[]", '{"line": {"seq": "x"}}'])
def test_marks_that_cannot_be_read_stop_the_house_until_a_principal_goes_on(
    shop, payer, helene, content
):
    issue(payer, helene)
    marks.place().write_text(content)

    with pytest.raises(BehindMarksError):
        issue(payer, helene)
    level.go_on(by=helene, at=timezone.now())

    assert issue(payer, helene).number.endswith("-0002")


def test_the_server_says_at_its_start_that_it_is_behind(put_back, caplog):
    with caplog.at_level(logging.ERROR):
        starting.tell_if_behind()

    assert "older than what the workshop had issued" in caplog.text
    assert known().line == as_mark(put_back)


def test_a_full_disk_under_the_marks_undoes_nothing(shop, payer, helene, monkeypatch, caplog):
    def full(*_said: object, **_more: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(marks, "_write", full)
    issue(payer, helene)

    assert Invoice.objects.count() == 1
    assert "cannot be written" in caplog.text


def test_marks_are_forced_to_the_disk_for_numbers_and_not_for_each_line(owner, helene, monkeypatch):
    forced: list[int] = []
    monkeypatch.setattr("os.fsync", forced.append)
    with deed():
        record(helene, "client.changed", owner, at=timezone.now())
    lines_only = len(forced)
    factories.piece(by=helene)

    assert lines_only == 0
    assert len(forced) == 2  # the file and its folder


def test_the_marks_say_what_they_are_and_lie_beside_the_store(shop, payer, helene):
    issue(payer, helene)

    assert json.loads(marks.place().read_text())["format"] == marks.FORMAT
    assert marks.place().parent == store.root().parent
