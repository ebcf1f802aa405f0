"""Official rules and our own catch single faults, and a check that did not run is never a pass."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest

from repairs.einvoice.check.validate import (
    build_checked,
    check_invoice,
)
from repairs.einvoice.document import Party
from repairs.einvoice.refusals import InvoiceRulesError
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.terms import treatment
from tests.einvoice.samples import (
    ALL,
    CREDITED,
    DISCOUNTED,
    EXEMPTED,
    FOREIGN_HOUSE,
    GERMAN,
    PLAYER,
    PRIVATE,
    TWO_RATES,
    line,
)

D = Decimal
EN, FRENCH = "Factur-X EN 16931", "FR-CTC"


@pytest.mark.parametrize("syntax", ["cii", "ubl"])
@pytest.mark.parametrize("doc", ALL, ids=lambda doc: doc.number)
def test_every_sample_passes_every_rule(doc, syntax):
    checked = build_checked(doc, syntax)

    assert checked.report.findings == ()
    assert checked.report.tried > 40
    assert (FRENCH in checked.report.checked) == (doc is not FOREIGN_HOUSE)


def fatal(doc, old: str, new: str) -> set[str]:
    """The fatal rules of an invoice whose XML was changed in one place."""
    xml = build_cii(doc).decode()
    assert old in xml
    report = check_invoice(doc, xml.replace(old, new).encode())
    return {one.rule for one in report.fatal}


@pytest.mark.parametrize(
    ("doc", "old", "new", "rules"),
    [
        # published meaning of each rule: EN 16931-1, tables of business rules
        (TWO_RATES, "LineTotalAmount>425.42", "LineTotalAmount>425.43", {"BR-CO-10", "BR-CO-13"}),
        (TWO_RATES, "TaxBasisTotalAmount>425.42", "TaxBasisTotalAmount>400.42", {"BR-CO-13"}),
        (TWO_RATES, "GrandTotalAmount>507.75", "GrandTotalAmount>507.57", {"BR-CO-15"}),
        (TWO_RATES, "DuePayableAmount>357.75", "DuePayableAmount>507.75", {"BR-CO-16"}),
        (TWO_RATES, "CalculatedAmount>81.29", "CalculatedAmount>82.31", {"BR-CO-14", "BR-CO-17"}),
        (TWO_RATES, 'unitCode="HUR"', 'unitCode="HOURS"', {"FX-SCH-A-000613"}),
        (TWO_RATES, ">EUR<", ">EUROS<", {"FX-SCH-A-000595"}),
        (
            TWO_RATES,
            'schemeID="VA">FR31000123455<',
            'schemeID="XX">FR31000123455<',
            {"BR-S-02"},
        ),
        (TWO_RATES, "<ram:Name>Cuir de veau</ram:Name>", "<ram:Name></ram:Name>", {"BR-25"}),
        (EXEMPTED, "VATEX-FR-FRANCHISE", "VATEX-FR-NOTHING", {"FX-SCH-A-000589"}),
        (EXEMPTED, "<ram:RateApplicablePercent>0<", "<ram:RateApplicablePercent>20<", {"BR-E-05"}),
        (CREDITED, "ChargeAmount>48<", "ChargeAmount>-48<", {"BR-27"}),
        (TWO_RATES, "GrandTotalAmount>507.75", "GrandTotalAmount>507.750", {"BR-DEC-14"}),
        (
            TWO_RATES,
            "CountryID>FR<",
            "CountryID>FX<",
            {"FX-SCH-A-000568"},
        ),
        # French rules: AFNOR XP Z12-012 as the messages of the shipped rules tell
        (TWO_RATES, "<ram:SubjectCode>PMT<", "<ram:SubjectCode>AAI<", {"BR-FR-05_BT-22_PMT"}),
        (TWO_RATES, "<ram:SubjectCode>PMD<", "<ram:SubjectCode>AAI<", {"BR-FR-05_BT-22_PMD"}),
        (TWO_RATES, "<ram:SubjectCode>AAB<", "<ram:SubjectCode>AAI<", {"BR-FR-05_BT-22_AAB"}),
        (TWO_RATES, "<ram:ID>S1<", "<ram:ID>S2<", {"BR-FR-CO-09_BT-23-1"}),
        (TWO_RATES, "FA-2026-0042", "FA 2026 0042", {"BR-FR-02_BT-1"}),
        (TWO_RATES, "FA-2026-0042", "FA-2026-0042" * 4, {"BR-FR-01_BT-1"}),
        (TWO_RATES, "Percent>20<", "Percent>21<", {"BR-FR-16_BT-119", "BR-FR-16_BT-152"}),
        (TWO_RATES, "00012345500016", "99912345500016", {"BR-FR-09_BT-29"}),
        (
            CREDITED,
            "InvoiceReferencedDocument>",
            "ReceivableSpecifiedTradeAccountingAccount>",
            {"XSD"},
        ),
    ],
)
def test_a_single_fault_is_caught(doc, old, new, rules):
    found = fatal(doc, old, new)

    assert found
    assert rules <= found


def _own(doc, old: str, new: str) -> tuple[set[str], set[str]]:
    """What the official rules say, and what we say."""
    found = fatal(doc, old, new)
    own = {rule for rule in found if rule.startswith("OWN-")}
    return found - own, own


def test_a_line_that_is_not_quantity_by_price_passes_the_official_rules_but_not_ours():
    # 3 × 4.333 is 13.00; with 2 the sums stay consistent
    official, own = _own(TWO_RATES, 'unitCode="C62">3<', 'unitCode="C62">2<')

    assert official == set()
    assert "OWN-LINE-NET" in own


def test_tax_that_is_a_cent_off_passes_the_official_rules_but_not_ours():
    xml = build_cii(TWO_RATES).decode()
    for old, new in (
        ("81.29", "81.30"),
        ("82.33", "82.34"),
        ("507.75", "507.76"),
        ("357.75", "357.76"),
    ):
        assert old in xml
        xml = xml.replace(old, new)

    found = {one.rule for one in check_invoice(TWO_RATES, xml.encode()).fatal}

    assert found == {"OWN-READ-BACK", "OWN-TAX"}


def test_an_amount_due_without_a_date_is_caught_by_us():
    doc = dataclasses.replace(TWO_RATES, due_on=None, payment_terms="")

    with pytest.raises(InvoiceRulesError, match="OWN-DUE"):
        build_checked(doc)


def test_a_foreign_credit_note_without_its_invoice_is_caught_by_us():
    doc = dataclasses.replace(
        FOREIGN_HOUSE, kind="381", preceding=(), lines=(line(rate_pct=D(19)),)
    )
    official = {one.rule for one in check_invoice(doc, build_cii(doc)).fatal}

    assert official == {"OWN-CREDIT"}


@pytest.mark.parametrize(
    ("fields", "rule"),
    [
        ({"due_on": TWO_RATES.issued_on.replace(day=1)}, "OWN-DUE"),
        ({"buyer": dataclasses.replace(TWO_RATES.buyer, country="")}, "OWN-BUYER"),
        ({"buyer": dataclasses.replace(TWO_RATES.buyer, vat_id="FR58000543215")}, "OWN-BUYER"),
        ({"buyer": dataclasses.replace(TWO_RATES.buyer, siret="00012345500016")}, "OWN-BUYER"),
        ({"seller": dataclasses.replace(TWO_RATES.seller, iban="FR7612345")}, "OWN-SELLER"),
        ({"seller": dataclasses.replace(TWO_RATES.seller, siren="000123456")}, "OWN-SELLER"),
        (
            {"deposits": (dataclasses.replace(DISCOUNTED.deposits[0], issued_on=None),)},
            "OWN-DEPOSIT",
        ),
    ],
)
def test_what_only_we_know_is_caught(fields, rule):
    with pytest.raises(InvoiceRulesError, match=rule):
        build_checked(dataclasses.replace(TWO_RATES, **fields))


def test_an_exemption_without_a_reason_is_caught_by_the_official_rules_and_by_us():
    doc = dataclasses.replace(EXEMPTED, exemptions=())

    found = {one.rule for one in check_invoice(doc, build_cii(doc)).fatal}

    assert found == {"BR-E-10", "OWN-REASON"}


def test_a_credit_note_without_its_invoice_is_caught_by_the_french_rules_and_by_us():
    doc = dataclasses.replace(CREDITED, preceding=())

    found = {one.rule for one in check_invoice(doc, build_cii(doc)).fatal}

    assert found == {"BR-FR-CO-05_BT-3", "OWN-CREDIT"}


def test_a_file_of_another_invoice_is_caught():
    report = check_invoice(DISCOUNTED, build_cii(TWO_RATES))

    assert {one.rule for one in report.fatal} >= {"OWN-READ-BACK"}


def test_a_player_without_an_e_mail_gets_an_invoice_all_the_same():
    alone = dataclasses.replace(PLAYER, email="")
    report = build_checked(dataclasses.replace(PRIVATE, buyer=alone)).report

    assert [(one.rule, one.flag) for one in report.findings] == [("BR-FR-12_BT-49", "waived")]


def test_a_business_in_france_without_an_address_does_not():
    nameless = Party(
        name="Association des vielleux", city="Montbrac", country="FR", vat_id="FR39356000000"
    )

    with pytest.raises(InvoiceRulesError, match="BR-FR-11_BT-47"):
        build_checked(dataclasses.replace(TWO_RATES, buyer=nameless))


def test_a_french_institution_without_any_number_is_told_as_a_private_person_is():
    nameless = Party(name="Association des vielleux", city="Montbrac", country="FR")

    assert treatment(nameless) == "B2C"
    assert build_checked(dataclasses.replace(TWO_RATES, buyer=nameless)).report.passed


def test_a_schema_fault_ends_the_check_and_is_fatal():
    xml = build_cii(TWO_RATES).replace(b"ram:CityName>", b"ram:Town>")
    report = check_invoice(TWO_RATES, xml)

    assert report.checked == ("XSD",)
    assert not report.passed
    assert any(one.rule == "XSD" for one in report.fatal)


def test_a_german_seller_needs_no_french_rules():
    report = build_checked(FOREIGN_HOUSE).report

    assert report.checked == ("XSD", EN)
    assert FOREIGN_HOUSE.seller.country == GERMAN.country == "DE"
