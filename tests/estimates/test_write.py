"""Versions of an estimate: written, changed, copied, and never changed once issued."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.bench.deeds import deed_words
from repairs.estimates.actions import change_estimate, write_estimate
from repairs.estimates.models import Estimate, OptionLine
from repairs.estimates.refusals import EstimateIncompleteError, EstimateIssuedError
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.people.house_models import House
from repairs.procedures.models import ProcedureVersion
from repairs.procedures.versions import pin
from repairs.screens.refusals import ChangedMeanwhileError
from tests import factories

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


def test_the_first_version_begins_with_the_rate_of_the_house(house, case, armand):
    House.objects.update(hourly_rate=Decimal("58.00"), currency="CHF")

    row = write_estimate(case, by=armand, at=AT)

    assert (row.version, row.hourly_rate, row.currency) == (1, Decimal("58.00"), "CHF")
    assert row.valid_until == dt.date(2026, 12, 25)  # 30 days: common practice
    assert not row.is_issued


def test_tax_and_terms_begin_as_they_were_used_last(house, case, vielle, armand):
    factories.estimate(case, by=armand, issued=False, tax_words="Exempt.", stop_pct=15)
    other = factories.case(vielle, by=armand)

    row = write_estimate(other, by=armand, at=timezone.now())

    assert (row.tax_pct, row.tax_words, row.stop_pct) == (Decimal("20"), "Exempt.", 15)


def test_an_unissued_version_is_gone_on_with(house, case, armand):
    first = write_estimate(case, by=armand, at=AT)

    second = write_estimate(case, by=armand, at=AT)

    assert second.pk == first.pk


def test_the_next_version_is_a_copy_of_the_last(house, case, finding, armand):
    gone = factories.finding(case, by=armand, part="back")
    option = OptionWish(
        kind="full",
        title="with the old bridge",
        risk="It may open.",
        ceiling=Decimal("900"),
        lines=[
            factories.work_line("cleats", findings=[finding, gone], words="at the heel"),
            LineWish(kind="material", words="gut", amount=Decimal("12.50")),
        ],
    )
    first = factories.estimate(case, option, by=armand, survey_fee=Decimal("40"))
    gone.withdrawn_at = AT
    gone.save()

    copy = write_estimate(case, by=armand, at=AT)

    kept = copy.options.get()
    lines = list(kept.lines.all())
    assert (copy.version, copy.survey_fee, copy.intro) == (2, Decimal("40"), "As we said.")
    assert (kept.kind, kept.title, kept.risk, kept.ceiling) == (
        "full",
        "with the old bridge",
        "It may open.",
        Decimal("900"),
    )
    assert [(line.kind, line.words, line.amount) for line in lines] == [
        ("work", "at the heel", None),
        ("material", "gut", Decimal("12.50")),
    ]
    assert list(lines[0].findings.all()) == [finding]
    assert first.options.get().pk != kept.pk


def test_a_change_puts_the_new_options_in_the_place_of_the_old(house, case, armand):
    row = factories.estimate(case, by=armand, issued=False)

    row.intro = "Otherwise."
    wish = OptionWish(kind="playable", lines=[factories.work_line("cleats", minutes_high=200)])
    change_estimate(row, [wish], seen=1, by=armand, at=AT)

    option = row.options.get()
    assert (option.kind, option.position) == ("playable", 1)
    assert option.lines.get().minutes_high == 200
    assert Estimate.objects.get(pk=row.pk).intro == "Otherwise."
    assert Estimate.objects.get(pk=row.pk).revision == 2


def test_a_line_keeps_the_wording_of_its_procedure(house, case, armand):
    row = factories.estimate(
        case,
        OptionWish(
            kind="safe",
            lines=[LineWish(kind="work", procedure="open_seam", minutes_low=40, minutes_high=60)],
        ),
        by=armand,
        issued=False,
    )

    version = row.options.get().lines.get().version

    assert version == pin("open_seam", at=AT)
    assert ProcedureVersion.objects.filter(key="open_seam").count() == 1


def test_what_somebody_else_saved_meanwhile_is_not_overwritten(house, case, armand, lise):
    row = factories.estimate(case, by=armand, issued=False)
    mine = Estimate.objects.get(pk=row.pk)
    change_estimate(row, [], seen=1, by=lise, at=AT)

    mine.intro = "Mine."
    with pytest.raises(ChangedMeanwhileError, match="Lise Sautarel"):
        change_estimate(mine, [], seen=1, by=armand, at=AT)

    assert Estimate.objects.get(pk=row.pk).intro == "As we said."


def test_an_issued_version_never_changes(house, case, armand):
    row = factories.estimate(case, by=armand)

    with pytest.raises(EstimateIssuedError, match="Version 1"):
        change_estimate(row, [], seen=1, by=armand, at=AT)

    assert row.options.count() == 1


@pytest.mark.parametrize(
    ("reason", "why"), [("house", "instrument of the house"), ("survey", "no work in it")]
)
def test_a_stay_without_an_agreement_needs_no_estimate(house, vielle, armand, reason, why):
    case = factories.case(vielle, by=armand, reason=reason)

    with pytest.raises(EstimateIncompleteError, match=why):
        write_estimate(case, by=armand, at=AT)


def test_the_log_says_what_was_written_and_changed(house, case, armand):
    factories.estimate(case, by=armand)

    lines = LogEntry.objects.filter(subject=case.log_key, verb__startswith="estimate.")
    assert [deed_words(line.verb, line.details) for line in lines.order_by("seq")] == [
        "wrote version 1 of the estimate",
        "changed version 1 of the estimate",
        "issued version 1 of the estimate",
    ]


@pytest.mark.parametrize(
    "wrong",
    [
        {"minutes_low": 60, "minutes_high": 30},
        {"amount": Decimal("-1")},
        {"kind": "work", "version": None},
    ],
)
def test_the_database_refuses_what_cannot_be(house, case, armand, wrong):
    row = factories.estimate(case, by=armand, issued=False)
    said = {"kind": "work", "version": factories.procedure("seam"), "position": 9} | wrong

    with pytest.raises(IntegrityError), transaction.atomic():
        OptionLine.objects.create(option=row.options.get(), **said)
