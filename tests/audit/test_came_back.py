"""After a restore no number is given before somebody has looked at the newest papers."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit import came_back, marks
from repairs.audit.anchors import as_mark, current_head
from repairs.audit.checking import Count, all_faults
from repairs.audit.marks import CameBack, Marks
from repairs.audit.models import LogEntry
from repairs.audit.refusals import NotLookedAtError, NumberTooLowError, NumberUnreadableError
from repairs.cases.models import Case
from repairs.invoices.models import Invoice
from tests import factories

pytestmark = pytest.mark.django_db(transaction=True)
YEAR = timezone.localdate().year


@pytest.fixture
def back(shop, payer, helene, case) -> str:
    """A house with one invoice that came back from a backup; the word of its line of invoices."""
    factories.issued(factories.draft(payer, by=helene), by=helene)
    now = timezone.localtime()
    told = marks.read() or Marks(as_mark(current_head()))
    since = now - dt.timedelta(seconds=9)
    marks.place().write_text(marks.as_text(replace(told, came_back=CameBack(since, now))))
    return f"invoice/FA/{YEAR}"


def line_of(mark: str) -> came_back.Line:
    return next(line for line in came_back.to_look_at() if line.mark == mark)


def test_each_line_in_which_a_number_may_be_lost_is_asked_for(back):
    asked = {line.mark for line in came_back.to_look_at()}

    assert asked == {back, f"invoice/AV/{YEAR}", f"case/{YEAR}", "instrument/1", "wood/1"}


def test_nothing_is_numbered_and_no_number_is_used(back, case, payer, helene, armand):
    with pytest.raises(NotLookedAtError, match="invoices, credit notes"):
        factories.issued(factories.draft(payer, by=helene), by=helene)
    with pytest.raises(NotLookedAtError, match="came back from a backup"):
        factories.case(case.instrument, by=armand)

    assert Invoice.objects.count() == 1
    assert Case.objects.count() == 1


def test_after_a_look_the_line_goes_on_and_the_others_wait(back, payer, helene):
    came_back.look_at(line_of(back), 1, by=helene, at=timezone.now())

    assert factories.issued(factories.draft(payer, by=helene), by=helene).number.endswith("-0002")
    assert back not in {line.mark for line in came_back.to_look_at()}
    with pytest.raises(NotLookedAtError):
        factories.piece(by=helene)
    assert [str(fault) for fault in all_faults(Count())] == []


def test_numbers_seen_on_paper_are_skipped_and_stand_in_the_log(back, payer, helene):
    line = line_of(back)

    assert line.missing(4) == (f"FA-{YEAR}-0002", f"FA-{YEAR}-0004")
    came_back.look_at(line, 4, by=helene, at=timezone.now())

    assert factories.issued(factories.draft(payer, by=helene), by=helene).number.endswith("-0005")
    told = LogEntry.objects.get(verb="numbers.looked_at")
    assert (told.actor, told.details["here"], told.details["seen"]) == (helene, 1, 4)


def test_a_line_of_a_year_to_come_waits_for_nobody(back, helene):
    known = marks.read()
    assert known is not None

    came_back.require_looked_at(known, line_of(back).series, f"invoice/FA/{YEAR + 1}")


@pytest.mark.parametrize(
    ("typed", "number"),
    [("FA-{}-0007", 7), (" fa-{} - 0007 ", 7), ("7", 7), ("1", 1)],
)
def test_a_number_is_read_as_it_stands_on_paper(back, typed, number):
    assert line_of(back).read(typed.format(YEAR)) == number


@pytest.mark.parametrize(
    ("typed", "refusal"),
    [
        ("FA-2019-0007", NumberUnreadableError),
        ("seven", NumberUnreadableError),
        ("0", NumberTooLowError),
        ("", NumberTooLowError),
    ],
)
def test_what_is_no_number_of_the_line_is_said(back, typed, refusal):
    with pytest.raises(refusal):
        line_of(back).read(typed)


def test_nothing_typed_means_that_none_was_ever_given(back):
    assert line_of("wood/1").read("") == 0


def test_the_mark_stays_through_deeds_and_starts(back, helene):
    came_back.look_at(line_of("wood/1"), 0, by=helene, at=timezone.now())
    factories.piece(by=helene)
    marks.catch_up(as_mark(current_head()))

    assert back in {line.mark for line in came_back.to_look_at()}


def post(client, mark: str, number: str, **more: str):
    said = {"line": mark, "number": number, **more}
    return client.post(reverse("bench:look_at_number"), said)


def test_the_page_asks_names_what_is_missing_and_confirms(back, client, helene):
    client.force_login(helene)

    shown = client.get(reverse("bench:log_head")).content.decode()
    low = post(client, back, "0")
    asked = post(client, back, f"FA-{YEAR}-0003").content.decode()
    done = client.post(
        reverse("bench:look_at_number"), {"line": back, "number": "3", "read": "1"}, follow=True
    )

    assert "last one known here: FA-" in shown
    assert "none is known here; the first would be W-0001" in shown
    assert low.status_code == 400
    assert "is lower than the last number known here" in low.content.decode()
    assert f"FA-{YEAR}-0002 to FA-{YEAR}-0003 left the house" in asked
    assert f'value="FA-{YEAR}-0003"' in asked
    assert "Missing here: FA-" in done.content.decode()
    assert back not in {line.mark for line in came_back.to_look_at()}


def test_the_bench_says_it_until_all_are_confirmed(back, client, helene):
    client.force_login(helene)
    before = client.get(reverse("bench:home")).content.decode()
    for line in came_back.to_look_at():
        post(client, line.mark, line.known)

    after = client.get(reverse("bench:home")).content.decode()

    assert "came back from a backup" in before
    assert "came back from a backup" not in after
