"""A case whose instrument has gone: what is about the instrument is closed, what is paper stays."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.actions import change_intake, put_in_place, wait
from repairs.cases.models import Case
from repairs.cases.refusals import CaseEndedError, CustodyError, IntakeClosedError
from tests import factories
from tests.readings import samples

CLOSED: list[tuple[str, dict[str, Any]]] = [
    ("cases:edit", {"owner_words": "something else"}),
    ("cases:wait", {"waits_for": "part"}),
    ("findings:add", {"term": "crack"}),
    ("findings:edit", {"finding": 1}),
    ("findings:withdraw", {"finding": 1}),
    ("findings:parts", {}),
    ("findings:look_over", {}),
    ("findings:finish", {}),
    ("findings:tag_create", {"photo": 1}),
    ("photos:add", {}),
    ("photos:begin", {}),
    ("photos:describe", {"photo": 1}),
    ("photos:withdraw", {"photo": 1}),
    ("readings:choose", {}),
    ("readings:take", {"gauge": "wheel"}),
    ("readings:recompute", {"reading": 1}),
    ("readings:withdraw", {"reading": 1}),
    ("treatment:agree", {}),
    ("treatment:begin", {"agreed": 1}),
    ("treatment:drop", {"agreed": 1}),
    ("treatment:clock", {"work": 1}),
    ("treatment:minutes", {"work": 1}),
    ("treatment:steps", {"work": 1}),
    ("treatment:describe", {"work": 1}),
    ("treatment:proof", {"work": 1}),
    ("treatment:material_add", {"work": 1}),
    ("treatment:removed_add", {"work": 1}),
    ("treatment:new_part", {"work": 1}),
]


@pytest.fixture
def ended(case, photo, finding, helene, house) -> Case:
    """Worked on, measured, photographed, and gone home since Friday."""
    factories.begun_work(factories.agreed_work(case, "free", by=helene), by=helene)
    samples.reading(case, by=helene)
    Case.objects.filter(pk=case.pk).update(step="handed_back", ended_at=timezone.now())
    return case


def address(case: Case, name: str, said: dict[str, Any]) -> str:
    named = ("finding", "photo", "reading", "agreed", "work", "gauge")
    return reverse(name, args=[case.number, *(said[key] for key in named if key in said)])


@pytest.mark.parametrize(("name", "said"), CLOSED)
def test_what_is_about_the_instrument_is_refused_with_the_way_out(
    client, helene, ended, name, said
):
    client.force_login(helene)
    lines = LogEntry.objects.count()

    answer = client.post(address(ended, name, said), said)

    assert answer.status_code == 409
    assert "take the instrument in again as a new case" in answer.text
    assert LogEntry.objects.count() == lines


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("bench:case", {}),
        ("cases:receipt", {}),
        ("readings:detail", {"reading": 1}),
        ("readings:diagnosis", {}),
        ("findings:photo", {"photo": 1}),
        ("treatment:work", {"work": 1}),
        ("treatment:proof", {"work": 1}),
        ("estimates:list", {}),
    ],
)
def test_it_can_be_read_as_before_and_offers_nothing_that_is_closed(
    client, helene, ended, name, said
):
    client.force_login(helene)

    answer = client.get(address(ended, name, said))

    assert answer.status_code == 200
    shown = ("treatment:proof", "findings:tag_create")
    closed = {address(ended, *row) for row in CLOSED if row[0] not in shown}
    assert not [place for place in closed if f'"{place}"' in answer.text]


def test_papers_and_invoices_stay_possible(client, helene, ended):
    client.force_login(helene)

    paper = reverse("papers:make_preview", args=[ended.number, "setup_sheet"])
    asked = client.post(paper, {"language": "en"})
    drafted = client.post(reverse("invoices:draft_add"), {"case": ended.number})

    assert (asked.status_code, drafted.status_code) == (302, 302)
    assert ended.invoice_drafts.exists()


def test_who_may_not_do_it_at_all_is_told_that_first(client, tom, ended):
    client.force_login(tom)

    assert client.post(reverse("findings:add", args=[ended.number])).status_code == 403


# Ended while the page was open: the row that the verb is given still goes on ---------------------


def test_what_has_ended_meanwhile_waits_for_nothing(case, armand):
    Case.objects.filter(pk=case.pk).update(step="handed_back", ended_at=timezone.now())

    with pytest.raises(CaseEndedError, match="take the instrument in again as a new case"):
        wait(case, "part", "a peg", by=armand, at=timezone.now())

    kept = Case.objects.get(pk=case.pk)
    assert (kept.waits_for, kept.waits_note, kept.waits_since) == ("", "", None)
    assert not LogEntry.objects.filter(verb="case.waits").exists()


def test_the_intake_of_what_has_ended_meanwhile_stays_as_it_was(case, armand):
    Case.objects.filter(pk=case.pk).update(step="handed_back", ended_at=timezone.now())
    words, case.owner_words = case.owner_words, "something else"

    with pytest.raises(IntakeClosedError, match="its intake stays as it was written"):
        change_intake(case, by=armand, at=timezone.now())

    assert Case.objects.get(pk=case.pk).owner_words == words
    assert not LogEntry.objects.filter(verb="case.changed").exists()


def test_what_has_gone_home_meanwhile_has_no_place_in_the_shop(case, armand):
    Case.objects.filter(pk=case.pk).update(step="handed_back", ended_at=timezone.now())
    case.custody.update(holder="owner")

    with pytest.raises(CustodyError):
        put_in_place(case, "North bench", by=armand, at=timezone.now())

    assert Case.objects.get(pk=case.pk).place == "Shelf 2"


def test_what_stands_in_stock_is_moved_in_the_shop_after_its_end(case, armand):
    Case.objects.filter(pk=case.pk).update(step="to_stock", ended_at=timezone.now())

    put_in_place(case, "North bench", by=armand, at=timezone.now())

    assert Case.objects.get(pk=case.pk).place == "North bench"
