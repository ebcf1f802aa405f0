"""Reading at the limit: sizes, numbers, days, charges and prices per hundred, in both syntaxes."""

from __future__ import annotations

import base64
import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from lxml import etree  # type: ignore[import-untyped]

from repairs.einvoice.read import parsing
from repairs.einvoice.read.parsing import Part, parse, vat_of
from repairs.einvoice.read.read import read_xml, xml_of
from repairs.einvoice.refusals import ReceivedUnreadableError, RulesNotRunError
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from tests.einvoice.heard import heard
from tests.einvoice.samples import CREDITED, DISCOUNTED, TWO_RATES

D = Decimal
CII, UBL = build_cii(DISCOUNTED), build_ubl(DISCOUNTED)


def part(inner: str) -> Part:
    return Part(etree.fromstring(f"<a>{inner}</a>"), {}, "theirs.xml")


def test_a_file_of_five_megabytes_is_read_and_one_byte_more_is_not():
    whole = b"<a>" + b"x" * (5_000_000 - 7) + b"</a>"

    assert parse(whole, "x").tag == "a"
    with pytest.raises(ReceivedUnreadableError, match="larger than 5 MB"):
        parse(whole + b" ", "x")


def test_remarks_and_instructions_part_no_words():
    xml = build_cii(TWO_RATES).replace(b">FA-2026-0042<", b">FA-<!-- no -->2026-<?no no?>0042<")

    assert read_xml(xml, "x").number == "FA-2026-0042"


def test_the_parser_follows_nothing_out_of_the_file(monkeypatch):
    told: list[dict[str, bool]] = []
    made = etree.XMLParser
    monkeypatch.setattr(
        "repairs.einvoice.read.parsing.etree.XMLParser",
        lambda **said: heard(told, said, made(**said)),
    )

    parse(b"<a/>", "x")

    assert (
        told[0].items()
        >= {
            "resolve_entities": False,
            "no_network": True,
            "load_dtd": False,
        }.items()
    )


def test_a_document_type_is_refused_before_it_is_looked_up(tmp_path):
    broken = tmp_path / "broken.dtd"
    broken.write_text("<!ELEMENT", encoding="utf-8")

    with pytest.raises(ReceivedUnreadableError, match="a document type declaration"):
        parse(f'<!DOCTYPE a SYSTEM "{broken.as_uri()}"><a/>'.encode(), "x")


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b" \n ", "it is empty."),
        (b"<a>\n</b>", "the reading stops in line 2 at sign 5."),
    ],
)
def test_where_the_reading_stops_is_said(data, says):
    with pytest.raises(ReceivedUnreadableError) as refusal:
        parse(data, "x")

    assert says in str(refusal.value)


def test_a_fault_without_a_place_is_told_without_one():
    assert parsing._ill_formed(b"x", ValueError("no")) == "it is no well-formed XML."
    empty = "it is empty."
    assert parsing._ill_formed(b"  ", ValueError("no")) == empty


@pytest.mark.parametrize(
    ("words", "number"),
    [
        ("5", "5"),
        ("-5.50", "-5.50"),
        ("+5.", "5"),
        ("9" * 15, "9" * 15),
        ("0.123456789012", "0.123456789012"),
        ("", None),
    ],
)
def test_a_number_is_exact(words, number):
    assert part(words).number(".") == (number and D(number))
    assert part(words).amount(".") == D(number or "0.00")


@pytest.mark.parametrize("words", ["9" * 16, "0.1234567890123", "1,5", "1e3", "x" * 60])
def test_what_is_no_number_is_repeated_up_to_forty_signs(words):
    with pytest.raises(ReceivedUnreadableError) as refusal:
        part(words).number(".")

    assert f"“{words[:40]}” is no number." in str(refusal.value)


@pytest.mark.parametrize(
    ("words", "day"),
    [("20261120", dt.date(2026, 11, 20)), ("2026-11-20", dt.date(2026, 11, 20)), ("", None)],
)
def test_a_day_is_read_in_both_ways(words, day):
    assert part(words).day(".") == day


@pytest.mark.parametrize("words", ["20261332", "2026-11-31", "20 November 2026", "y" * 60])
def test_what_is_no_day_is_repeated_up_to_forty_signs(words):
    with pytest.raises(ReceivedUnreadableError) as refusal:
        part(words).day(".")

    assert f"“{words[:40]}” is no date." in str(refusal.value)


@pytest.mark.parametrize(
    ("inner", "has_sums", "vat"),
    [
        ('<t currencyID="SEK">999</t><t currencyID="EUR">82.33</t>', True, "82.33"),
        ("<t>82.33</t>", True, "82.33"),  # without a currency it is that of the invoice
        ('<t currencyID="SEK">999</t>', True, "0.00"),
        ("", True, "0.00"),
        ("", False, None),
    ],
)
def test_the_tax_is_that_of_the_currency_of_the_invoice(inner, has_sums, vat):
    whole = part(inner)

    found = vat_of(whole.parts("t"), currency="EUR", sums=whole if has_sums else None)
    assert found == (vat and D(vat))


@pytest.mark.parametrize(
    ("xml", "price", "charge"),
    [
        (
            CII,
            (
                b"<ram:ChargeAmount>48</ram:ChargeAmount>",
                b"<ram:BasisQuantity>100</ram:BasisQuantity>",
            ),
            (b"<udt:Indicator>false<", b"<udt:Indicator>%s<"),
        ),
        (
            UBL,
            (
                b'<cbc:PriceAmount currencyID="EUR">48</cbc:PriceAmount>',
                b"<cbc:BaseQuantity>100</cbc:BaseQuantity>",
            ),
            (b"<cbc:ChargeIndicator>false<", b"<cbc:ChargeIndicator>%s<"),
        ),
    ],
    ids=["cii", "ubl"],
)
def test_prices_per_hundred_and_charges_of_a_line_are_read(xml, price, charge):
    """18.00 are taken off the first line; “true” and “1” make a charge of them."""
    assert price[0] in xml
    read = read_xml(xml, "x")
    assert [line.price_of for line in read.lines] == [1, 1, 1, 1]
    assert [line.taken_off for line in read.lines] == [D("18.00"), 0, 0, 0]
    assert [one.amount for one in read.adjustments] == [D("-25.00"), D("12.50")]

    per_hundred = read_xml(xml.replace(price[0], price[0] + price[1]), "x")
    assert [line.price_of for line in per_hundred.lines] == [100, 1, 1, 1]
    for word in (b"true", b"1"):
        charged = read_xml(xml.replace(charge[0], charge[1] % word), "x")
        assert charged.lines[0].taken_off == D("-18.00")
        assert charged.adjustments[0].amount == D("25.00")


def test_a_party_without_a_registered_name_is_named_as_it_trades():
    own, trading = b"<cbc:RegistrationName>Sautarel SARL</cbc:RegistrationName>", b""
    assert own in UBL

    assert read_xml(UBL, "x").seller == "Sautarel SARL"
    assert read_xml(UBL.replace(own, trading), "x").seller == "Atelier Sautarel"


def test_a_credit_note_in_ubl_is_read_as_one():
    read = read_xml(build_ubl(CREDITED), "x")

    assert (read.kind, read.root, read.syntax) == ("381", "CreditNote", "ubl")
    assert [line.quantity for line in read.lines] == [D("1.25"), D(1)]


@pytest.fixture
def asks(monkeypatch) -> list[dict[str, Any]]:
    """What is asked of the process apart, which answers with the first of ``asks``."""
    queue: list[Any] = []

    def ask(_request: Any, *, limit_s: float) -> dict[str, Any]:
        answer = queue.pop(0)
        if answer is None:
            raise RulesNotRunError(why="it fell over")
        return {**answer, "limit": limit_s}

    monkeypatch.setattr("repairs.einvoice.read.read.PROCESS.ask", ask)
    return queue


def test_a_pdf_may_begin_within_the_first_kilobyte(asks):
    asks.append({"xml": base64.b64encode(b"<a/>").decode()})

    assert xml_of(b" " * 1019 + b"%PDF-1.7", "x") == b"<a/>"
    later = b" " * 1020 + b"%PDF-1.7"
    assert xml_of(later, "x") == later


def test_a_pdf_of_twenty_megabytes_is_opened_and_one_byte_more_is_not(asks):
    asks.append({"xml": base64.b64encode(b"<a/>").decode()})
    whole = b"%PDF-" + b"0" * (20_000_000 - 5)

    assert xml_of(whole, "x") == b"<a/>"
    with pytest.raises(ReceivedUnreadableError, match="larger than 20 MB"):
        xml_of(whole + b"0", "x")


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        ({"xml": None}, "only a picture"),
        ({"xml": None, "encrypted": True}, "locked with a password"),
        (None, "damaged"),
    ],
)
def test_why_nothing_came_out_of_a_pdf_is_said(asks, answer, says):
    asks.append(answer)

    with pytest.raises(ReceivedUnreadableError, match=says):
        xml_of(b"%PDF-1.7", "x")
