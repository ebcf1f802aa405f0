"""E-invoices of others: published ones add up, hostile and broken ones get a sentence."""

from __future__ import annotations

import dataclasses
import json
from decimal import Decimal
from pathlib import Path

import pytest
from django.utils import translation

from repairs.einvoice.check.findings import Finding
from repairs.einvoice.check.own import check_written
from repairs.einvoice.check.received import _mentions, check_received
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.read.received import FiveTotals, ReadAmount, ReadInvoice, ReadLine
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from tests.einvoice.samples import ALL, CREDITED, DISCOUNTED, TWO_RATES

D = Decimal
PUBLISHED = json.loads(
    (Path(__file__).with_name("published") / "en16931_figures.json").read_text(encoding="utf-8")
)
CII, UBL = build_cii(TWO_RATES), build_ubl(TWO_RATES)


def as_line(number: int, figures: list[str]) -> ReadLine:
    quantity, price, price_of, off, net, category, rate = figures
    return ReadLine(
        number=str(number),
        description="",
        quantity=D(quantity),
        price=D(price),
        price_of=D(price_of),
        taken_off=D(off),
        net=D(net),
        category=category,
        rate_pct=D(rate),
    )


def as_read(example) -> ReadInvoice:
    """The figures of a published invoice in place of those of one of ours."""
    return dataclasses.replace(
        read_xml(CII, "x"),
        lines=tuple(as_line(n, figures) for n, figures in enumerate(example["lines"])),
        adjustments=tuple(
            ReadAmount(category=category, rate_pct=D(rate), amount=D(amount))
            for amount, category, rate in example["adjustments"]
        ),
        prepaid=D(example["prepaid"]),
        rounding=D(example["rounding"]),
        stated=FiveTotals(**{name: D(amount) for name, amount in example["totals"].items()}),
    )


@pytest.mark.parametrize("example", PUBLISHED, ids=lambda example: example["file"])
def test_published_invoices_recompute_to_what_they_state(example):
    """Source: published/README.md."""
    read = as_read(example)

    assert read.recomputed() == read.stated


@pytest.mark.parametrize("build", [build_cii, build_ubl])
@pytest.mark.parametrize("doc", ALL, ids=lambda doc: doc.number)
def test_ours_are_read_as_they_were_written(doc, build):
    read = read_xml(build(doc), "x")

    assert (read.kind, read.number, read.issued_on) == (doc.kind, doc.number, doc.issued_on)
    assert (read.seller, read.buyer) == (doc.seller.registered_name, doc.buyer.registered_name)
    assert [line.quantity for line in read.lines] == [line.quantity for line in doc.lines]
    assert read.recomputed() == read.stated


def test_a_received_invoice_passes_with_its_totals():
    checked = check_received(CII, "theirs.xml")

    assert checked.passed
    assert checked.data()["stated"] == checked.data()["recomputed"]
    assert checked.data()["stated"]["due"] == "357.75"


def test_totals_that_do_not_follow_from_the_lines_are_shown_and_fatal():
    wrong = UBL.replace(b">425.42<", b">495.42<").replace(b">507.75<", b">577.75<")
    data = check_received(wrong, "theirs.xml").data()

    assert (data["stated"]["net"], data["recomputed"]["net"]) == ("495.42", "425.42")
    assert {one["flag"] for one in data["findings"] if one["rule"] == "OWN-TOTALS"} == {"fatal"}
    assert data["passed"] is False


def test_a_line_of_theirs_that_is_not_quantity_by_price_is_a_warning():
    odd = CII.replace(b'unitCode="C62">3<', b'unitCode="C62">2<')
    checked = check_received(odd, "theirs.xml")

    assert checked.passed
    assert [one.rule for one in checked.report.findings] == ["OWN-LINE-NET"]


def test_figures_of_a_warning_are_written_as_the_reader_writes_them():
    odd = CII.replace(b'unitCode="C62">3<', b'unitCode="C62">2<')

    with translation.override("fr"):
        (found,) = check_received(odd, "theirs.xml").report.findings

    assert "13,00" in found.text and "8,67" in found.text
    assert "13.00" not in found.text
    assert (found.language, found.is_ours) == ("", True)


@pytest.mark.parametrize(("xml", "stated"), [(CII, b">410.47<"), (UBL, b">410.47<")])
def test_a_base_that_is_not_the_sum_of_its_lines_is_told_with_both_sums(xml, stated):
    """406.47 at 20 %: 348.00 + 45.47 + 13.00 (worked by hand)."""
    read = check_received(xml.replace(b">406.47<", stated), "theirs.xml")

    found = [one for one in read.ours if one.rule == "OWN-BASE"]
    assert [one.flag for one in found] == ["fatal"]
    assert "its base is stated as 410.47, but its lines, less allowances, come to 406.47" in (
        found[0].text
    )


def test_a_base_less_an_allowance_is_right():
    assert check_received(build_cii(DISCOUNTED), "theirs.xml").ours == []


def test_a_credit_note_may_take_a_tax_that_is_some_cents_off():
    """60.00 at 20 % is 12.00; the last credit note of an invoice takes what is left of its tax."""
    left = {b">12.00<": b">12.02<", b">13.04<": b">13.06<", b">91.99<": b">92.01<"}
    xml = build_cii(CREDITED)
    for exact, stated in left.items():
        assert exact in xml
        xml = xml.replace(exact, stated)
    checked = check_received(xml, "theirs.xml")

    assert checked.passed
    assert {one.flag for one in checked.ours} == {"warning"}
    assert list(check_written(CREDITED, read_xml(build_cii(CREDITED), "x"))) == []


@pytest.mark.parametrize("build", [build_cii, build_ubl])
def test_a_credit_note_of_ours_needs_no_date_of_payment(build):
    checked = check_received(build(CREDITED), "ours.xml")

    assert checked.invoice.due_on is None
    assert checked.report.findings == ()


def test_an_invoice_that_asks_for_money_without_a_date_is_told():
    undated = dataclasses.replace(TWO_RATES, due_on=None)
    read = read_xml(build_ubl(undated), "x")

    found = [one.rule for one in _mentions(dataclasses.replace(read, payment_terms=""))]

    assert found == ["OWN-DUE"]


def test_a_published_rule_tells_in_which_language_it_speaks():
    says = [Finding(rule=rule, flag="fatal", text="…") for rule in ("BR-CO-16", "BR-FR-03", "XSD")]

    assert [one.language for one in says] == ["en", "fr", "en"]


def test_a_path_is_shown_without_its_namespaces():
    cii = "urn:un:unece:uncefact:data:standard:CrossIndustryInvoice:100"
    where = f"/*:CrossIndustryInvoice[namespace-uri()='{cii}'][1]/*:A[namespace-uri()='{cii}'][3]"

    assert Finding(rule="BR-01", flag="fatal", text="", where=where).place == (
        "/CrossIndustryInvoice/A[3]"
    )


def test_the_tax_of_the_invoices_currency_is_taken():
    doubled = CII.replace(
        b'<ram:TaxTotalAmount currencyID="EUR">',
        b'<ram:TaxTotalAmount currencyID="SEK">999.00</ram:TaxTotalAmount>'
        b'<ram:TaxTotalAmount currencyID="EUR">',
    )

    assert read_xml(doubled, "x").stated.vat == D("82.33")


def test_an_invoice_without_lines_is_recomputed_from_its_groups():
    start = CII.index(b"<ram:IncludedSupplyChainTradeLineItem>")
    end = CII.index(b"<ram:ApplicableHeaderTradeAgreement>")
    read = read_xml(CII[:start] + CII[end:], "x")

    assert read.lines == ()
    assert read.recomputed() == read.stated
