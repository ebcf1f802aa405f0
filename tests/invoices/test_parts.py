"""The small parts of an invoice, each by itself: numbers, addresses, prices, units."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from typing import Any

import pytest

from repairs.einvoice.document import Allowance, Line
from repairs.invoices.codes import Means, quantity_words, rate_words, time_words
from repairs.invoices.compile import country_line, day_words, grouped, invoice_sheet, transfer_rows
from repairs.invoices.paper import paper_line, taken_off
from repairs.invoices.parties import buyer_party, seller_party
from repairs.people.house_models import House
from repairs.people.models import Client
from tests.conftest import NOW
from tests.einvoice import samples
from tests.factories import BILLING
from tests.invoices.plain import FIRM, PRIVATE

D = Decimal
SIRET = "73282932000074"


# Who sells and who buys ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "siren", "siret"),
    [
        ("732 829 320", "732829320", ""),
        ("732 829 320 00074", "732829320", SIRET),
        ("732829320000", "732829320", ""),  # neither the one nor the other
        ("", "", ""),
    ],
)
def test_a_french_number_is_parted_into_firm_and_seat(typed, siren, siret):
    house = House(**BILLING | {"company_number": typed})
    client = Client(**FIRM | {"company_number": typed})

    for party in (seller_party(house, names_vat=True), buyer_party(client)):
        assert (party.siren, party.siret, party.registration) == (siren, siret, "")


def test_abroad_the_number_is_that_of_the_register_as_it_was_typed():
    there = {"country": "DE", "company_number": "HRB 12345"}

    for party in (
        seller_party(House(**BILLING | there), names_vat=True),
        buyer_party(Client(**FIRM | there)),
    ):
        assert (party.siren, party.siret, party.registration) == ("", "", "HRB 12345")


@pytest.mark.parametrize(
    ("said", "siren"),
    [
        ({"vat_id": "FR39 356000000"}, "356000000"),
        ({"vat_id": "FR39356000000", "company_number": "732829320"}, "732829320"),
        ({"vat_id": "DE136695976", "country": "DE"}, ""),
        ({}, ""),
    ],
)
def test_a_french_vat_number_names_the_firm_where_its_number_is_missing(said, siren):
    assert buyer_party(Client(**PRIVATE | said)).siren == siren


def test_the_vat_number_of_the_house_stands_only_where_it_is_wanted():
    house = House(**BILLING | {"iban": "FR76 3000 6000 0112 3456 7890 189"})

    assert seller_party(house, names_vat=True).vat_id == "FR44732829320"
    assert seller_party(house, names_vat=False).vat_id == ""
    assert seller_party(house, names_vat=False).iban == "FR7630006000011234567890189"


@pytest.mark.parametrize(
    ("typed", "lines"),
    [
        ("", ()),
        ("Moulin\n\n 3, rue ", ("Moulin", "3, rue")),
        ("a\nb\nc", ("a", "b", "c")),
        ("a\nb\nc\nd", ("a", "b", "c, d")),
        ("a\nb\nc\nd\ne", ("a", "b", "c, d, e")),
    ],
)
def test_an_address_has_three_lines_at_most_and_loses_none(typed, lines):
    assert buyer_party(Client(**PRIVATE | {"address": typed})).address == lines


# Numbers on paper ----------------------------------------------------------------------------


def line(**said) -> Line:
    own: dict[str, Any] = {"number": "1", "description": "Work", "quantity": D(1), "unit": "HUR"}
    return Line(**own | {"unit_price": D("48"), "rate_pct": D(20)} | said)


@pytest.mark.parametrize(
    ("price", "words"),
    [("48", "48.00"), ("48.5", "48.50"), ("0.125", "0.125"), ("1250.00", "1,250.00")],
)
def test_a_price_has_two_places_or_as_many_as_it_has(price, words):
    assert paper_line(line(unit_price=D(price)), D(1)).price == words


def test_a_line_tells_its_details_and_its_discount_one_below_the_other():
    said = line(quantity=D("0.5"), details="for finding 2", discount=D("5"))

    printed = paper_line(said, D("19.00"))

    assert printed.quantity.replace("\u00a0", " ") == "30 min"
    assert printed.details.splitlines() == [
        "For finding 2",
        "Discount: −5.00",
    ]
    assert paper_line(line(), D("48.00")).details == ""
    goodwill = line(discount=D("5"), discount_reason="Goodwill")
    assert paper_line(goodwill, D("43.00")).details.startswith("Goodwill")


def test_what_is_taken_off_or_added_names_the_tax_that_it_bears():
    off = Allowance(amount=D("15"), reason="Discount 10 %", category="S", rate_pct=D(20))
    free = dataclasses.replace(off, category="E", rate_pct=D(0), is_charge=True)
    doc = dataclasses.replace(samples.PRIVATE, allowances=(off, free))

    said = [(label.replace("\u00a0", " "), amount) for label, amount in taken_off(doc)]

    assert said == [
        ("Discount 10 % (VAT 20 %)", "−15.00"),
        ("Discount 10 % (exempt)", "15.00"),
    ]


def test_the_hundredth_of_a_minute_that_four_places_leave_is_no_seconds():
    """0.0835 hours are 5.01 minutes."""
    assert time_words("HUR", D("0.0835")).replace("\u00a0", " ") == "5 min"


def test_quantities_and_rates_are_said_with_what_they_count():
    assert quantity_words("HUR", D("0")) == "0 hours"
    assert quantity_words("C62", D("1")) == "1 piece"
    assert rate_words("S", D("5.5")).replace("\u00a0", " ") == "5.5 %"
    assert rate_words("AE", D("0")) == "reverse charge"
    assert [code for code, _label in Means.of_people()] == ["30", "48", "10", "20"]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("FR7630006000011234567890189", "FR76 3000 6000 0112 3456 7890 189"),
        ("FR76 30006 0000", "FR76 3000 6000 0"),
        ("DE89", "DE89"),
        ("", ""),
    ],
)
def test_an_iban_stands_in_fours(number, words):
    assert grouped(number) == words


def test_how_to_transfer_leaves_out_what_is_not_known():
    assert transfer_rows("DE89", "", "FA-1") == (("IBAN", "DE89"), ("Reference", "FA-1"))
    assert transfer_rows("", "", "") == ()
    assert day_words(None) == ""
    assert country_line("FR", "FR") == ""


def test_a_paper_names_its_case_or_else_its_client_and_how_to_pay(shop):
    def sheet(**said):
        return invoice_sheet(dataclasses.replace(samples.PRIVATE, **said), made_at=NOW)

    assert sheet(case_number="2026-017").reference == "2026-017"
    assert sheet(case_number="").reference == samples.PRIVATE.buyer.name
    with_transfer = sheet(payment_means="30", language="en").body.pay_rows
    in_cash = sheet(payment_means="10", language="en").body.pay_rows
    assert with_transfer[0] == ("Pay by", "Transfer")
    assert "IBAN" in dict(with_transfer)
    assert in_cash[0] == ("Pay by", "Cash")
    assert "IBAN" not in dict(in_cash)


def test_a_credit_note_without_a_reason_names_only_its_invoice(shop):
    plain = dataclasses.replace(samples.CREDITED, notes=(), language="en")

    body = invoice_sheet(plain, made_at=NOW).body

    assert body.corrects == "Corrects invoice FA-2026-0042 of 20 November 2026."
    assert invoice_sheet(samples.PRIVATE, made_at=NOW).body.corrects == ""
