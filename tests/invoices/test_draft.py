"""A draft: lines of work and material, a discount, deposits; what cannot be is refused."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from repairs.einvoice.totals import totals_of
from repairs.invoices import actions
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.refusals import CurrencyNotOursError, DraftOverError
from repairs.people.house_models import House
from repairs.screens.refusals import ChangedMeanwhileError
from tests import factories


def said(draft: InvoiceDraft, *lines: dict[str, str], **changed: str) -> dict[str, Any]:
    """The form of a draft as its page sends it back."""
    whole = {
        "revision": str(draft.revision),
        "language": draft.language,
        "payment_days": "30",
        "means": "30",
        "discount_pct": "0",
        "lines-TOTAL_FORMS": str(len(lines)),
        "lines-INITIAL_FORMS": str(min(len(lines), draft.lines.count())),
        "lines-MIN_NUM_FORMS": "0",
        "lines-MAX_NUM_FORMS": "200",
    } | changed
    for place, line in enumerate(lines):
        whole |= {f"lines-{place}-{name}": value for name, value in line.items()}
    return whole


LINE = {
    "sort": "hours",
    "description": "Work on the wheel",
    "quantity": "7,25",
    "unit": "HUR",
    "unit_price": "48",
    "category": "S",
    "rate_pct": "20",
}
BLANK = {"sort": "hours", "unit": "HUR", "category": "S", "rate_pct": "20"}


@pytest.fixture
def send(client, draft, helene):
    client.force_login(helene)

    def post(*lines: dict[str, str], **changed: str):
        return client.post(draft.get_absolute_url(), said(draft, *lines, **changed))

    return post


def due(draft: InvoiceDraft) -> Decimal:
    return totals_of(document_of(facts_of(draft, timezone.now()), number="")).due


def test_lines_are_typed_with_a_comma_and_summed(send, draft):
    send(
        LINE,
        LINE | {"description": "Strings", "quantity": "2", "unit": "C62", "unit_price": "12,5"},
    )

    assert due(draft) == Decimal("447.60")  # (348.00 + 25.00) × 1.20


def test_rows_in_which_nothing_is_written_are_left_out(send, draft):
    send(LINE, BLANK, BLANK)

    assert [line.description for line in draft.lines.all()] == ["Work on the wheel"]


def test_a_line_ticked_to_be_left_out_is_gone(send, draft):
    send(LINE | {"DELETE": "on"}, LINE | {"description": "Strings"})

    assert [line.description for line in draft.lines.all()] == ["Strings"]


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"quantity": "-2"}, "quantity", "Less than 0.0001"),
        ({"quantity": "0"}, "quantity", "Less than 0.0001"),
        ({"unit_price": "-48"}, "unit_price", "Less than 0"),
        ({"rate_pct": "200"}, "rate_pct", "More than 100 % is not possible here"),
        ({"rate_pct": "-20"}, "rate_pct", "Less than 0 %"),
        ({"rate_pct": "0", "category": "E"}, "category", "not one of the available"),
        ({"rate_pct": "0", "category": "S"}, "rate_pct", "A rate above zero goes with"),
        ({"quantity": "seven"}, "quantity", "is not a number"),
        ({"description": ""}, "description", "required"),
        ({"category": "XX"}, "category", "not one of the available"),
    ],
)
def test_a_line_that_cannot_be_is_named_and_nothing_is_saved(send, draft, typed, field, sentence):
    answer = send(LINE | typed)

    assert answer.status_code == 200
    assert sentence in answer.context["lines"].forms[0].errors[field][0]
    assert draft.lines.get().quantity == Decimal("7.25")


def test_what_is_left_as_it_was_in_a_bad_line_is_not_lost(send):
    answer = send(LINE | {"quantity": "-2", "details": "with the old axle"})

    assert "with the old axle" in answer.text
    assert "Nothing was saved yet" in answer.text


@pytest.mark.parametrize("pct", ["101", "-1"])
def test_a_discount_lies_between_nothing_and_all(send, pct):
    answer = send(LINE, discount_pct=pct)

    assert "discount_pct" in answer.context["form"].errors


def test_a_discount_comes_off_each_tax_apart(payer, helene):
    book = factories.sold("Printed method", "18.95", category="S", rate_pct=Decimal("5.5"))
    draft = factories.draft(payer, factories.hours(), book, by=helene, discount_pct=Decimal(10))

    doc = document_of(facts_of(draft, timezone.now()), number="")

    assert [(one.amount, one.rate_pct) for one in doc.allowances] == [
        (Decimal("34.80"), Decimal(20)),
        (Decimal("1.90"), Decimal("5.5")),  # 1.895, half away from zero
    ]


def test_a_discount_larger_than_its_line_is_told(send, client, draft):
    send(LINE | {"discount": "400"})

    assert "the discount is more than the line" in client.get(draft.get_absolute_url()).text


def test_two_who_save_the_same_draft_do_not_overwrite_one_another(send, draft):
    send(LINE | {"description": "Hers"})

    answer = send(LINE | {"description": "Mine"}, revision="0")

    assert draft.lines.get().description == "Hers"
    assert "while you were typing" in answer.text


def test_the_refusal_is_an_error_of_its_own(draft, helene):
    draft.revision = 7

    with pytest.raises(ChangedMeanwhileError):
        actions.change_draft(draft, [], [], by=helene, at=timezone.now())


def test_a_price_in_another_currency_is_refused(payer, helene):
    with pytest.raises(CurrencyNotOursError, match="in CHF, but the workshop invoices in EUR"):
        factories.draft(payer, factories.hours(currency="CHF"), by=helene)

    assert not InvoiceDraft.objects.exists()


def test_a_draft_that_was_thrown_away_is_gone_for_good(client, draft, helene):
    client.force_login(helene)

    client.post(reverse("invoices:draft_discard", args=[draft.pk]))

    assert client.get(draft.get_absolute_url()).status_code == 404
    with pytest.raises(DraftOverError):
        factories.issued(draft, by=helene)


def test_a_draft_of_a_case_bears_its_number(case, shop, helene):
    draft = actions.open_draft(case.owner, case=case, by=helene, at=timezone.now())

    assert document_of(facts_of(draft, timezone.now()), number="").case_number == case.number


def test_the_source_of_a_line_stays_with_it(send, draft):
    send(LINE | {"source": "intervention:12"})

    assert draft.lines.get().source == "intervention:12"


@pytest.mark.parametrize(
    "fields", [{"quantity": Decimal(-1)}, {"unit_price": Decimal(-1)}, {"rate_pct": Decimal(200)}]
)
def test_the_database_refuses_what_the_form_refuses(draft, fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        DraftLine.objects.filter(draft=draft).update(**fields)


def test_material_alone_is_a_sale_of_goods_and_work_a_service(payer, helene):
    goods = factories.draft(payer, factories.sold("Strings", "12.50"), by=helene)
    work = factories.draft(payer, factories.sold("Strings", "12.50"), factories.hours(), by=helene)

    found = [
        document_of(facts_of(row, timezone.now()), number="").operation for row in (goods, work)
    ]

    assert found == ["B", "S"]


def test_two_at_one_draft_see_what_the_other_saved_and_may_replace_it(send, draft):
    send(LINE | {"description": "Hers"})

    refused = send(LINE | {"description": "Mine"}, revision="0")
    (shown,) = re.findall(r'name="revision" value="(\d+)"', refused.text)
    send(LINE | {"description": "Mine"}, revision=shown)

    assert "Hers, 7.25 hours × 48" in refused.text
    assert draft.lines.get().description == "Mine"


def test_a_sole_trader_without_the_own_name_is_asked_on_the_draft(draft, client, helene):
    client.force_login(helene)

    asked = client.get(draft.get_absolute_url()).context["remarks"]
    House.objects.update(legal_name="Hélène Moncey")
    known = client.get(draft.get_absolute_url()).context["remarks"]

    assert [one for one in asked if "must stand beside “EI”" in one]
    assert known == []
