"""Addresses, schemes, numbers and words that both syntaxes say alike, case by case."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest
from lxml import etree  # type: ignore[import-untyped]

from repairs.einvoice.document import Exemption, Note, Party
from repairs.einvoice.frozen import doc_from
from repairs.einvoice.write import terms
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.elements import Maker, as_bytes, money, number
from repairs.einvoice.write.ubl import build_ubl
from repairs.press.document import plain
from tests.einvoice import independent
from tests.einvoice.samples import ALL, NOT_SUBJECT, SENT_WITHIN_EU, TWO_RATES, line

D = Decimal
BUILDERS = pytest.mark.parametrize("build", [build_cii, build_ubl])


def party(**fields: str | bool) -> Party:
    return Party(**{"name": "Client", "country": "FR", **fields})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "address"),
    [
        ({}, None),
        ({"vat_id": "FR31 000 123 455"}, ("FR31000123455", "9957")),
        ({"vat_id": "DE999000009", "country": "DE"}, ("DE999000009", "9930")),
        ({"vat_id": "US1", "country": "US"}, None),  # no scheme is known there
        ({"country": "BE"}, None),
        ({"vat_id": "FR31000123455", "email": "a@example.org"}, ("a@example.org", "EM")),
        ({"email": "a@example.org", "siren": "000 123 455"}, ("000123455", "0225")),
        ({"siren": "000123455", "e_address": "0009:00012345500016"}, ("00012345500016", "0009")),
    ],
)
def test_where_an_e_invoice_goes(fields, address):
    assert terms.electronic_address(party(**fields)) == address


@pytest.mark.parametrize(
    ("fields", "identifier"),
    [
        ({}, ("", "")),
        ({"siren": "000 123 455", "registration": "HRB 1"}, ("000123455", "0002")),
        ({"registration": "HRB 1"}, ("HRB 1", "")),
    ],
)
def test_the_number_of_the_register_bears_a_scheme_only_where_it_is_sure(fields, identifier):
    assert terms.legal_identifier(party(**fields)) == identifier


@pytest.mark.parametrize(
    ("fields", "number_", "vat"),
    [
        ({}, "", ""),
        ({"siren": "000 123 455"}, "000123455", ""),
        ({"siren": "000123455", "vat_id": "FR 31000123455"}, "", "FR31000123455"),
        ({"tax_number": "99/999", "vat_id": "DE999000009"}, "99/999", "DE999000009"),
        ({"tax_number": "99/999", "siren": "000123455"}, "99/999", ""),
    ],
)
def test_which_tax_numbers_a_seller_shows(fields, number_, vat):
    seller = party(**fields)

    assert terms.tax_number(seller, TWO_RATES) == number_
    assert terms.vat_identifier(seller, TWO_RATES) == vat
    assert terms.tax_number(seller, NOT_SUBJECT) == terms.vat_identifier(seller, NOT_SUBJECT) == ""


@pytest.mark.parametrize(
    ("fields", "treatment"),
    [
        ({"siren": "000123455"}, "B2B"),
        ({"vat_id": "FR31000123455"}, "B2B"),
        ({}, "B2C"),
        ({"siren": "000123455", "is_business": False}, "B2C"),
        ({"country": "DE"}, "B2BINT"),
        ({"country": "DE", "is_business": False}, "B2CINT"),
    ],
)
def test_how_the_buyer_is_told_to_the_administration(fields, treatment):
    assert terms.treatment(party(**fields)) == treatment


@BUILDERS
def test_an_address_has_three_lines_at_most(build):
    buyer = dataclasses.replace(TWO_RATES.buyer, address=("one", "two", "three", "four"))
    xml = build(dataclasses.replace(TWO_RATES, buyer=buyer)).decode()

    assert all(f">{words}<" in xml for words in ("one", "two", "three"))
    assert ">four<" not in xml


@BUILDERS
@pytest.mark.parametrize(
    ("iban", "means", "stands"),
    [
        ("FR7699999000010000000004286", "30", True),
        ("FR7699999000010000000004286", "48", False),
        ("", "30", False),
    ],
)
def test_the_account_stands_only_where_money_is_to_be_sent_to_it(build, iban, means, stands):
    seller = dataclasses.replace(TWO_RATES.seller, iban=iban, bic="AGRIFRPP")
    xml = build(dataclasses.replace(TWO_RATES, seller=seller, payment_means=means)).decode()

    assert ("AGRIFRPP" in xml) is stands
    assert ("Sautarel SARL</ram:AccountName>" in xml or "FinancialAccount" in xml) is stands


@BUILDERS
def test_a_number_of_an_unknown_register_bears_no_scheme(build):
    xml = build(NOT_SUBJECT).decode()

    assert ">CHE999000002<" in xml
    assert 'schemeID="">' not in xml
    assert 'schemeID="0002">000123455<' in xml  # that of the seller


@BUILDERS
def test_only_what_crosses_a_border_or_has_no_day_names_the_place_of_arrival(build):
    undated = dataclasses.replace(TWO_RATES, delivery_on=None)
    place = b"ShipToTradeParty" if build is build_cii else b"DeliveryLocation"

    assert place in build(SENT_WITHIN_EU)
    assert place not in build(TWO_RATES)
    assert (place in build(undated)) is (build is build_cii)


@BUILDERS
def test_an_exemption_says_its_code_and_its_words_in_its_own_group_alone(build):
    exempt = line("2", category="E", rate_pct=D(0))
    why = Exemption(category="E", code="VATEX-FR-FRANCHISE", text="art. 293 B")
    doc = dataclasses.replace(TWO_RATES, lines=(line(), exempt), exemptions=(why,), deposits=())
    xml = build(doc)

    assert xml.count(b">VATEX-FR-FRANCHISE<") == xml.count(b">art. 293 B<") == 1
    taxed, untaxed = independent.read(xml)["BG-23"]
    assert "BT-120" not in taxed
    assert (untaxed["BT-120"], untaxed["BT-121"]) == ("art. 293 B", "VATEX-FR-FRANCHISE")


def test_a_note_that_says_nothing_is_left_out_and_one_without_a_code_stands_bare():
    notes = (Note(code="", text="Merci."), Note(code="AAB", text=" "), Note(code="", text="#AAB#x"))
    doc = dataclasses.replace(TWO_RATES, notes=notes)

    told = [one["BT-22"] for one in independent.read(build_cii(doc))["BG-1"]]
    assert told == ["Merci.", "#AAB#x", "B2B"]
    root = etree.fromstring(build_ubl(doc))
    assert [one.text for one in root.iterfind("{*}Note")] == ["Merci.", "AAB#x", "#BAR#B2B"]


def test_elements_are_made_only_of_what_says_something():
    el = Maker({"": "urn:a", "b": "urn:b", "c": "urn:c"}, "%Y")

    assert el(":a", "", None, el("b:x", " ")) is None
    made = el(":a", el("b:x", D("1E+2"), unit="EUR"), None)
    assert made is not None
    assert as_bytes(made).decode() == (
        "<?xml version='1.0' encoding='UTF-8'?>\n"
        '<a xmlns="urn:a" xmlns:b="urn:b">\n  <b:x unit="EUR">100</b:x>\n</a>\n'
    )
    with pytest.raises(ValueError, match="without content"):
        as_bytes(None)


@pytest.mark.parametrize(
    ("value", "as_money", "as_number"),
    [
        ("5", "5.00", "5"),
        ("20.00", "20.00", "20"),
        ("5.50", "5.50", "5.5"),
        ("100", "100.00", "100"),
    ],
)
def test_sums_have_two_places_and_other_numbers_no_more_than_needed(value, as_money, as_number):
    assert (money(D(value)), number(D(value))) == (as_money, as_number)


@pytest.mark.parametrize("doc", ALL, ids=lambda doc: doc.number)
def test_an_issued_invoice_is_read_back_as_it_was(doc):
    kept = plain(doc)

    assert doc_from(kept) == doc
    assert doc_from({**kept, "of_a_later_time": 1}) == doc


def test_what_an_invoice_says_of_late_payment_is_found_among_its_notes():
    words = "Pénalités de retard : trois fois le taux d’intérêt légal."

    assert TWO_RATES.penalty_words == words
    assert dataclasses.replace(TWO_RATES, notes=TWO_RATES.notes[:1]).penalty_words == ""
