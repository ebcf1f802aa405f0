"""What the form of a draft asks, of which kind of draft, and how a line is typed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from repairs.invoices.actions import open_credit
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.forms import DraftForm, LineForm, LineFormSet
from repairs.invoices.taxing import Tax
from tests import factories
from tests.conftest import NOW

TYPED = {
    "sort": "hours",
    "description": "Work",
    "quantity": "1",
    "unit": "HUR",
    "unit_price": "48",
    "category": "S",
    "rate_pct": "20",
}
OWN: dict[str, Any] = {
    "usual": Tax("S", Decimal(20)),
    "taxes": [("S", "taxed"), ("AE", "reverse charge")],
    "currency": "EUR",
}


def line(**said: str) -> LineForm:
    return LineForm(TYPED | said, **OWN)


@pytest.mark.parametrize(
    ("category", "rate", "passes"),
    [
        ("S", "20", True),
        ("S", "0.5", True),
        ("S", "0", False),
        ("AE", "0", True),
        ("AE", "0.5", False),
        ("AE", "20", False),
    ],
)
def test_a_rate_goes_with_taxed_and_with_nothing_else(category, rate, passes):
    form = line(category=category, rate_pct=rate)

    assert form.is_valid() is passes
    assert list(form.errors) == ([] if passes else ["rate_pct"])
    assert form.is_unfolded is not passes


def test_without_a_rate_only_the_rate_is_asked_for():
    assert list(line(rate_pct="").errors) == ["rate_pct"]
    assert len(line(rate_pct="").errors["rate_pct"]) == 1
    assert list(line(category="", rate_pct="0").errors) == ["category"]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({}, "work, 20 %"),
        ({"discount": "0,00"}, "work, 20 %"),
        ({"discount": "5"}, "work, 20 %, discount 5"),
        ({"rate_pct": ""}, "work, 0 %"),
        ({"category": "AE", "rate_pct": "0"}, "work, reverse charge"),
        ({"sort": "", "details": "for finding 2"}, "20 %, for finding 2"),
    ],
)
def test_what_is_folded_away_is_said_in_short(said, words):
    assert line(**said).folded_words.replace("\u00a0", " ") == words


def test_a_line_without_a_discount_has_none():
    form = line()
    assert form.is_valid()
    assert form.line().discount == 0
    assert [field.name for field in form.seen] == ["description", "quantity", "unit", "unit_price"]


def test_lines_are_counted_from_one_and_only_the_saved_ones_can_be_left_out():
    lines = LineFormSet(initial=[TYPED, TYPED], prefix="lines", form_kwargs=OWN)

    assert [(form.place, form.is_saved) for form in lines.forms] == [
        (1, True),
        (2, True),
        (3, False),
        (4, False),
    ]
    assert (lines.empty_form.place, lines.empty_form.is_saved) == (1, False)
    assert [form["rate_pct"].value() for form in lines.forms] == ["20"] * 4


# What is asked -------------------------------------------------------------------------------

MAY_BE_LEFT_OUT = {"payment_days", "delivery_on", "deposits", "above_because"}


def asked(draft: InvoiceDraft) -> set[str]:
    return MAY_BE_LEFT_OUT & set(DraftForm(instance=draft).fields)


def test_each_kind_of_draft_is_asked_what_fits_it(payer, case, helene):
    one = factories.sold("Deposit", "10.00", sort="free")
    deposit = factories.issued(factories.draft(payer, one, by=helene, kind="386"), by=helene)
    plain = factories.draft(payer, by=helene)
    credit = open_credit(deposit, by=helene, at=NOW)

    assert asked(plain) == {"payment_days", "delivery_on", "deposits"}
    paid = factories.draft(payer, by=helene, kind="386")
    assert asked(paid) == {"payment_days", "delivery_on"}  # the day of its payment
    assert asked(credit) == set()
    credit.case = plain.case = case
    assert asked(credit) == set()
    assert asked(plain) == MAY_BE_LEFT_OUT
    stranger = factories.draft(case.owner, by=helene, case=case)
    assert asked(stranger) == {"payment_days", "delivery_on", "above_because"}


def test_a_note_is_asked_of_a_credit_note_alone(invoice, draft, helene):
    credit = open_credit(invoice, by=helene, at=NOW)

    required = [DraftForm(instance=one).fields["note"].required for one in (credit, draft)]

    assert required == [True, False]
    assert (credit.payment_days, credit.kind) == (0, Kind.CREDIT)


def test_a_deposit_ticked_on_the_page_is_kept_and_taken_off_again(client, payer, helene):
    line = factories.sold("Deposit", "10.00", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=helene, kind="386"), by=helene)
    draft = factories.draft(payer, by=helene)
    client.force_login(helene)
    said = {"language": "en", "payment_days": "14", "means": "30", "discount_pct": "0"}
    said |= {f"lines-0-{name}": value for name, value in TYPED.items()}
    said |= {"lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "1"}

    def send(**more: Any):
        return client.post(draft.get_absolute_url(), said | more)

    saved = send(revision="0", deposits=[deposit.pk])
    page = client.get(draft.get_absolute_url())
    draft.refresh_from_db()
    assert (draft.revision, draft.payment_days) == (1, 14)
    assert list(draft.deposits.all()) == [deposit]
    assert list(page.context["form"].initial["deposits"]) == [deposit]
    assert "The draft is saved." in page.text
    assert saved.url == draft.get_absolute_url()

    onward = send(revision="1", preview="on")
    assert onward.url == reverse("invoices:issue", args=[draft.pk])
    assert not draft.deposits.exists()
