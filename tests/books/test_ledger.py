"""Which account a line goes to, what an entry says, and which entries belong together."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.books.exports import fec
from repairs.books.ledger import accounts, entries
from repairs.books.lettering import letter_code
from repairs.invoices.actions import open_credit
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.models import Invoice, Payment, TaxRow
from repairs.money import total
from repairs.payments.actions import reverse_payment
from tests import factories

YEAR = 2025
AT = dt.datetime(YEAR, 3, 10, 9, 0, tzinfo=dt.UTC)
MARCH = AT.date()
SERVICES, GOODS, DEPOSITS, CLIENTS = "706000", "707000", "419100", "411000"


@pytest.fixture
def mixed(payer, helene) -> Invoice:
    """At 20 %: 348.00 of work, 10.01 and 0.02 of material, 30.00 from outside, 5 % off the whole.

    The base is 388.03 − 19.40 = 368.63, the VAT 73.73, the sum 442.36 (worked by hand).
    """
    lines = (
        factories.hours(),
        factories.sold("Leather", "10.01"),
        factories.sold("Thread", "0.02"),
        factories.sold("Gilding", "30.00", sort="outside"),
    )
    row = factories.draft(payer, *lines, by=helene, discount_pct=Decimal(5))
    return factories.issued(row, by=helene, at=AT)


def by_account(year: int = YEAR) -> dict[str, Decimal]:
    """What each account holds: more than nothing is a credit."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for entry in entries(year):
        for line in entry.lines:
            sums[line.account] += line.credit - line.debit
    return sums


def lettered(year: int = YEAR) -> list[tuple[str, str, str, str]]:
    """Piece, amount, letter and day of each line of the accounts of clients."""
    cells = [row.split("\t") for row in fec(year).decode().splitlines()[1:]]
    return [(row[8], row[11], row[13], row[14]) for row in cells if row[4] == CLIENTS]


def test_work_with_its_material_is_one_service(mixed):
    """The whole base is in the account of services: 388.03 − 19.40 (worked by hand)."""
    held = by_account()

    assert held[SERVICES] == mixed.net == Decimal("368.63")
    assert GOODS not in held
    assert held[CLIENTS] == -mixed.due


def test_material_sold_alone_is_goods(payer, helene):
    lines = factories.sold("Leather", "10.01"), factories.sold("Thread", "0.02")
    factories.issued(factories.draft(payer, *lines, by=helene), by=helene, at=AT)

    held = by_account()
    assert held[GOODS] == Decimal("10.03")
    assert SERVICES not in held


def test_material_built_into_work_under_reverse_charge_is_no_delivery_of_goods(firm, helene):
    firm.country, firm.vat_id, firm.company_number = "DE", "DE999000009", "HRB 1"
    firm.save()
    untaxed: dict[str, Any] = {"category": "AE", "rate_pct": Decimal(0)}
    lines = factories.hours(**untaxed), factories.sold("Leather", "10.01", **untaxed)
    factories.issued(factories.draft(firm, *lines, by=helene), by=helene, at=AT)

    assert set(by_account()) == {CLIENTS, "706200"}
    assert by_account()["706200"] == Decimal("358.01")


def test_credited_material_of_work_leaves_the_account_of_services(mixed, helene):
    """The credit note is of material alone, and is about work all the same."""
    part = open_credit(mixed, by=helene, at=AT)
    part.lines.exclude(sort="material").delete()
    note = factories.issued(part, by=helene, at=AT)

    held = by_account()
    assert note.content["operation"] == "S"
    assert held[SERVICES] == mixed.net - note.net
    assert GOODS not in held


def test_a_credit_note_takes_back_from_the_same_accounts(mixed, helene):
    factories.issued(open_credit(mixed, by=helene, at=AT), by=helene, at=AT)

    assert set(by_account().values()) == {Decimal(0)}


def test_a_deposit_is_no_sale_until_it_is_deducted(payer, helene):
    line = factories.sold("Deposit", "83.33")
    factories.issued(factories.draft(payer, line, by=helene, kind="386"), by=helene, at=AT)

    held = by_account()
    assert held[DEPOSITS] == Decimal("83.33")
    assert not held.keys() & {SERVICES, GOODS}


@pytest.mark.parametrize("discount", ["0", "3.33", "12.5", "100"])
def test_the_parts_of_each_tax_are_its_base_to_the_cent(payer, helene, discount):
    """Two rates, lines of all sorts, amounts that do not part evenly."""
    lines = [
        factories.sold(sort, f"{place}.3{place}", sort=sort, category="S", rate_pct=rate)
        for place, sort in enumerate(DraftLine.Sort.values, start=1)
        for rate in (Decimal(20), Decimal("5.5"))
    ]
    row = factories.draft(payer, *lines, by=helene, discount_pct=Decimal(discount))
    factories.issued(row, by=helene, at=AT)

    held = by_account()
    bases = total(row.base for row in TaxRow.objects.all())
    assert held.get(SERVICES, 0) + held.get(GOODS, 0) == bases
    assert all(total(x.debit - x.credit for x in entry.lines) == 0 for entry in entries(YEAR))


def test_every_sort_of_line_has_its_account():
    known = accounts()

    assert set(known["sorts"]) - {"note"} == set(DraftLine.Sort.values)
    assert all(known[known["sorts"][sort]]["number"] for sort in DraftLine.Sort.values)


@pytest.mark.parametrize(
    ("category", "sort", "account"),
    [
        ("AE", "hours", "706200"),
        ("K", "material", "707200"),
        ("G", "material", "707300"),
        ("O", "hours", "706300"),
    ],
)
def test_what_goes_abroad_without_vat_has_accounts_of_its_own(
    firm, helene, category, sort, account
):
    in_eu = category in ("AE", "K")
    firm.country, firm.vat_id = ("DE", "DE999000009") if in_eu else ("CH", "")
    firm.company_number = "HRB 1"
    firm.save()
    line = factories.hours(sort=sort, category=category, rate_pct=Decimal(0))
    factories.issued(factories.draft(firm, line, by=helene), by=helene, at=AT)

    held = by_account()
    assert held[account] == Decimal("348.00")
    assert not held.keys() & {SERVICES, GOODS}


def test_every_kind_of_entry_is_told_apart(invoice, helene):
    """The words are French, as the layout is, whatever the reader speaks."""
    wrong = factories.payment(invoice, "500.00", by=helene)
    reverse_payment(wrong, timezone.localdate(), by=helene, at=timezone.now())
    factories.payment(invoice, "450.00", by=helene, means="10")
    factories.payment(invoice, "-32.40", by=helene)
    part = open_credit(invoice, by=helene, at=timezone.now())
    part.lines.update(quantity=Decimal(1))
    factories.issued(part, by=helene)

    number, day = invoice.number, f"{timezone.localdate():%d/%m/%Y}"
    note = invoice.credit_notes.get().number
    said = [entry.label for entry in entries(invoice.issued_on.year)]
    assert said == [
        f"Facture {number}, Garance Ollivant",
        f"Règlement {number} par virement, Garance Ollivant",
        f"Extourne du règlement {number} du {day}, Garance Ollivant",
        f"Règlement {number} par espèces, Garance Ollivant",
        f"Remboursement {number} par virement, Garance Ollivant",
        f"Avoir {note} sur {number}, Garance Ollivant",
    ]


def test_what_is_open_bears_no_letter(mixed, helene):
    factories.payment(mixed, "100.00", by=helene, on=MARCH)

    assert {row[2:] for row in lettered()} == {("", "")}


def test_what_is_settled_bears_one_letter_and_the_day_of_the_last_movement(mixed, helene):
    part = open_credit(mixed, by=helene, at=AT)
    part.lines.exclude(sort="hours").delete()
    factories.issued(part, by=helene, at=AT + dt.timedelta(days=1))
    left = Invoice.objects.with_balance().get(pk=mixed.pk).balance
    factories.payment(mixed, "100.00", by=helene, on=MARCH + dt.timedelta(days=2))
    factories.payment(mixed, str(left - 100), by=helene, on=MARCH + dt.timedelta(days=9))

    rows = lettered()
    assert len(rows) == 4
    assert {row[2:] for row in rows} == {(letter_code(mixed.pk), "20250319")}


def test_the_lines_of_one_letter_cancel_to_nothing(mixed, payer, helene):
    other = factories.issued(factories.draft(payer, by=helene), by=helene, at=AT)
    factories.payment(mixed, str(mixed.due), by=helene, on=MARCH)
    factories.payment(other, str(other.due), by=helene, on=MARCH)

    sums: dict[str, Decimal] = defaultdict(Decimal)
    for entry in entries(YEAR):
        for line in entry.lines:
            if line.letter:
                sums[line.letter.code] += line.debit - line.credit
    assert dict(sums) == {letter_code(mixed.pk): 0, letter_code(other.pk): 0}


def test_a_reversal_takes_the_letter_away(mixed, helene):
    paid = factories.payment(mixed, str(mixed.due), by=helene, on=MARCH)
    reverse_payment(paid, MARCH, by=helene, at=timezone.now())

    assert {row[2] for row in lettered()} == {""}


def test_a_payment_of_a_later_year_letters_both_years(mixed, helene):
    before = fec(YEAR, lettered=False)
    factories.payment(mixed, str(mixed.due), by=helene, on=dt.date(YEAR + 1, 1, 5))

    code = letter_code(mixed.pk)
    assert [row[2:] for row in lettered() + lettered(YEAR + 1)] == [(code, "20260105")] * 2
    assert fec(YEAR, lettered=False) == before
    assert Payment.objects.count() == 1


@pytest.mark.parametrize(
    ("key", "code"), [(1, "AAB"), (25, "AAZ"), (26, "ABA"), (17575, "ZZZ"), (17576, "BAAA")]
)
def test_letters_are_made_of_the_key_and_are_never_shared(key, code):
    assert letter_code(key) == code
