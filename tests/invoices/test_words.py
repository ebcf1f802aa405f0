"""Words on the papers of invoices: units after a number, hours, countries, reasons."""

from __future__ import annotations

import dataclasses

import pytest
from django.utils import timezone, translation

from repairs.einvoice.document import InvoiceDoc, Note
from repairs.invoices.actions import open_credit
from repairs.invoices.codes import Unit, time_words, unit_words
from repairs.invoices.compile import invoice_sheet
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.paper import InvoicePaper
from repairs.law.mentions import debits_words
from repairs.payments.statements import statement_sheet
from repairs.people.house_models import House
from repairs.people.sole_trader import with_form
from tests.conftest import NOW
from tests.einvoice import samples
from tests.einvoice.samples import D


def body(doc: InvoiceDoc, language: str = "en", **changed) -> InvoicePaper:
    doc = dataclasses.replace(doc, language=language, **changed)
    said: InvoicePaper = invoice_sheet(doc, made_at=NOW).body
    return said


def plain(words: str) -> str:
    return words.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("quantity", "words"),
    [("1", "hour"), ("2", "hours"), ("10", "hours"), ("4.8333", "hours"), ("0.5", "hours")],
)
def test_english_counts_in_the_plural_wherever_it_is_not_one(quantity, words):
    with translation.override("en"):
        assert unit_words("HUR", D(quantity)) == words


@pytest.mark.parametrize(
    ("quantity", "is_plural"),
    [("0.5", False), ("1", False), ("1.9999", False), ("2", True), ("4.8333", True), ("10", True)],
)
def test_french_counts_in_the_plural_from_two_on(quantity, is_plural):
    with translation.override("fr"):
        assert unit_words("HUR", D(quantity)).endswith("s") == is_plural


@pytest.mark.parametrize("language", ["en", "fr"])
def test_what_is_taken_back_is_counted_like_what_was_billed(language):
    with translation.override(language):
        assert unit_words("HUR", D("-2")) == unit_words("HUR", D("2"))
        assert unit_words("HUR", D("-1")) == unit_words("HUR", D("1"))


def test_every_unit_has_its_words():
    for unit in Unit.values:
        assert unit_words(unit, D(1)) != unit_words(unit, D(2)) != unit


def test_a_unit_of_somebody_else_is_told_by_its_code():
    assert unit_words("XPK", D(3)) == "XPK"


@pytest.mark.parametrize(
    ("quantity", "words"),
    [
        ("4.8333", "4 h 50 min"),
        ("7.25", "7 h 15 min"),
        ("0.0833", "5 min"),
        ("0.9999", ""),  # an hour but for what four places leave
        ("10", ""),
        ("1.005", ""),  # 60.3 minutes: no whole number of them
    ],
)
def test_parts_of_an_hour_are_said_as_a_clock_does(quantity, words):
    assert plain(time_words("HUR", D(quantity))) == words


def test_other_units_are_not_told_in_minutes():
    assert time_words("DAY", D("0.5")) == ""


def test_the_line_says_hours_and_minutes_once_and_the_invoice_keeps_its_quantity(shop):
    line = samples.line("1", quantity=D("4.8333"), details="for finding 2")

    printed = body(samples.PRIVATE, lines=(line,)).lines[0]

    assert (plain(printed.quantity), printed.unit) == ("4 h 50 min", "")
    assert printed.details == "For finding 2"
    assert line.quantity == D("4.8333")


def test_what_a_credit_note_takes_back_keeps_its_hours_and_minutes():
    assert plain(time_words("HUR", D("-4.8333"))) == "−4 h 50 min"
    assert plain(time_words("HUR", D("-0.5"))) == "−30 min"


@pytest.mark.parametrize(("language", "words"), [("fr", "forfait"), ("en", "flat price")])
def test_a_flat_price_is_not_counted_in_pieces(shop, language, words):
    line = samples.line("1", quantity=D(1), unit="C62", is_flat=True)

    printed = body(samples.PRIVATE, language, lines=(line,)).lines[0]

    assert (printed.quantity, printed.unit) == ("", words)


def test_what_is_counted_in_pieces_stays_so(shop):
    line = samples.line("1", quantity=D(1), unit="C62")

    printed = body(samples.PRIVATE, "fr", lines=(line,)).lines[0]

    assert (printed.quantity, printed.unit) == ("1", "pièce")


def test_every_line_of_the_paper_begins_with_a_capital(shop):
    line = samples.line("1", description="gut strings", details="for finding 2\nby hand")

    printed = body(samples.PRIVATE, lines=(line,)).lines[0]

    assert printed.description == "Gut strings"
    assert printed.details.splitlines() == ["For finding 2", "By hand"]


def test_a_paper_for_abroad_bears_both_countries_in_capitals(shop):
    sheet = invoice_sheet(dataclasses.replace(samples.REVERSED, language="en"), made_at=NOW)

    assert sheet.body.buyer[-1] == "GERMANY"
    assert sheet.house.address[-1] == "FRANCE"


def test_the_country_is_named_in_the_language_of_the_paper(shop):
    assert body(samples.EXPORTED, "fr").buyer[-1] == "SUISSE"


def test_a_paper_at_home_bears_no_country(shop):
    sheet = invoice_sheet(samples.TWO_RATES, made_at=NOW)

    assert sheet.body.buyer[-1] == "99750 Valfroide"
    assert "FRANCE" not in sheet.house.address


def test_a_credit_note_says_what_it_corrects_and_why(shop):
    notes = (Note(code="", text="Two hours were billed twice."), *samples.NOTES)

    said = body(samples.CREDITED, notes=notes)

    assert said.corrects == (
        "Corrects invoice FA-2026-0042 of 20 November 2026. Reason: Two hours were billed twice."
    )
    assert said.amount_label == "Credited"
    assert "Two hours were billed twice." not in said.mentions
    assert (said.due_on, said.delivery_on, said.pay_rows) == ("", "", ())


def test_a_deposit_names_no_day_of_delivery(shop):
    delivered = dataclasses.replace(samples.DEPOSITED, delivery_on=samples.DONE)

    assert body(delivered).delivery_on == ""


def test_the_statement_says_who_writes_it_and_where_it_goes(shop, payer):
    payer.country = "DE"

    sheet = statement_sheet(payer, language="en", made_at=NOW)

    rows = dict(sheet.body.seller)
    assert sheet.body.to[-1] == "GERMANY"
    assert rows["SIRET"] == shop.company_number
    assert rows["VAT number"] == shop.vat_id
    assert rows["Registered as"].startswith(shop.lawful_name)


@pytest.mark.parametrize(
    ("operation", "words"),
    [("S", "services"), ("B", "goods"), ("M", "goods and services")],
)
def test_a_french_invoice_says_what_is_billed(shop, operation, words):
    """CGI annexe II, article 242 nonies A, décret 2022-1299, from memory."""
    assert f"What is billed: {words}" in body(samples.TWO_RATES, operation=operation).mentions
    assert not any("What is billed" in one for one in body(samples.FOREIGN_HOUSE).mentions)


@pytest.mark.parametrize(
    ("house", "is_said"),
    [
        ({"vat_on_debits": True}, True),
        ({}, False),
        ({"vat_on_debits": True, "vat_regime": "small_business"}, False),
        ({"vat_on_debits": True, "country": "DE"}, False),
    ],
)
def test_the_option_for_debits_is_said_by_a_french_house_that_charges_vat(draft, house, is_said):
    House.objects.update(**house)

    doc = document_of(facts_of(draft, NOW), number="F")

    with translation.override(doc.language):
        assert (debits_words() in [note.text for note in doc.notes]) == is_said


def test_a_credit_note_does_not_give_the_option_as_its_reason(invoice, helene):
    House.objects.update(vat_on_debits=True)
    credit = open_credit(invoice, by=helene, at=timezone.now())

    said = invoice_sheet(document_of(facts_of(credit, NOW), number="A"), made_at=NOW).body

    with translation.override(credit.language):
        assert debits_words() not in said.corrects


@pytest.mark.parametrize(
    ("name", "form", "words"),
    [
        ("Hélène Moncey", "EI", "Hélène Moncey EI"),
        ("H. Sautarel EI", "EI", "H. Sautarel EI"),
        ("Hélène Moncey", "Entrepreneur individuel", "Hélène Moncey Entrepreneur individuel"),
        ("Sautarel", "SARL", "Sautarel, SARL"),
        ("Sautarel", "EIRL", "Sautarel, EIRL"),
        ("Sautarel", "", "Sautarel"),
    ],
)
def test_a_sole_trader_has_the_form_at_the_name(name, form, words):
    assert with_form(name, form) == words
