"""Both syntaxes say the same, and what another program reads in them is what the invoice says."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest
from lxml import etree  # type: ignore[import-untyped]

from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from tests.einvoice import independent
from tests.einvoice.samples import (
    ALL,
    CREDITED,
    DEPOSITED,
    DISCOUNTED,
    EXEMPTED,
    NOT_SUBJECT,
    PAID,
    PRIVATE,
    REVERSED,
    SENT_WITHIN_EU,
    TWO_RATES,
    line,
)

BUILDERS = pytest.mark.parametrize("build", [build_cii, build_ubl])
ONLY_CII = {"BG-13"}  # a delivery may not be empty there, so it names the buyer


@pytest.mark.parametrize("doc", ALL, ids=lambda doc: doc.number)
def test_cii_and_ubl_say_the_same(doc):
    cii, ubl = independent.read(build_cii(doc)), independent.read(build_ubl(doc))

    for term in ONLY_CII:
        ubl.setdefault(term, cii.get(term))
        cii.setdefault(term, ubl.get(term))
    assert cii == ubl


@BUILDERS
def test_the_sums_come_out_as_they_were_worked_by_hand(build):
    read = independent.read(build(TWO_RATES))

    assert [read[f"BT-{n}"] for n in (106, 109, 110, 112, 113, 115)] == [
        "425.42",
        "425.42",
        "82.33",
        "507.75",
        "150.00",
        "357.75",
    ]


@BUILDERS
def test_the_parties_come_out_whole(build):
    seller, buyer = (independent.read(build(TWO_RATES))[group] for group in ("BG-4", "BG-7"))

    assert seller["name"] == "Sautarel SARL"
    assert seller["biz_name"] == "Atelier Sautarel"
    assert seller["identifiers"] == {"0009": "00012345500016"}
    assert seller["vat_identifier"] == "FR31000123455"
    assert (buyer["legal_identifier"], buyer["legal_identifier_schemeid"]) == ("000543215", "0002")
    assert (buyer["addr_l1"], buyer["addr_l2"]) == ("10, quai du Nord", "Bâtiment B")


@BUILDERS
def test_numbers_typed_with_spaces_are_written_without(build):
    spaced = dataclasses.replace(
        TWO_RATES.seller,
        siret="000 123 455 00016",
        vat_id="FR 31 000 123 455",
        iban="FR76 9999 9000 0100 0000 0004 286",
    )
    read = independent.read(build(dataclasses.replace(TWO_RATES, seller=spaced)))

    assert read["BG-4"] == independent.read(build(TWO_RATES))["BG-4"]
    assert read["BT-84"] == "FR7699999000010000000004286"


@BUILDERS
@pytest.mark.parametrize(
    ("doc", "frame"),
    [(TWO_RATES, "S1"), (DISCOUNTED, "S4"), (PAID, "S2"), (DEPOSITED, "S1"), (CREDITED, "S1")],
)
def test_the_frame_follows_from_what_was_paid(build, doc, frame):
    assert independent.read(build(doc))["BT-23"] == frame


@BUILDERS
def test_a_deposit_invoice_is_named_where_it_is_deducted(build):
    read = independent.read(build(DISCOUNTED))

    assert read["BG-3"] == [{"BT-25": "AC-2026-0007", "BT-26": dt.date(2026, 10, 1)}]


@BUILDERS
def test_a_credit_note_names_its_invoice_and_is_positive(build):
    read = independent.read(build(CREDITED))

    assert (read["BT-3"], read["BT-112"]) == ("381", "91.99")
    assert read["BG-3"] == [{"BT-25": "FA-2026-0042", "BT-26": dt.date(2026, 11, 20)}]


@BUILDERS
def test_a_small_business_shows_its_siren_instead_of_a_vat_number(build):
    read = independent.read(build(EXEMPTED))

    assert "vat_identifier" not in read["BG-4"]
    assert read["BG-4"]["tax_identifier"] == "000123455"
    assert read["BG-23"][0]["BT-121"] == "VATEX-FR-FRANCHISE"
    assert read["BG-23"][0]["BT-120"] == "TVA non applicable, art. 293 B du CGI"


@BUILDERS
def test_outside_the_scope_of_vat_no_vat_number_and_no_rate_stands(build):
    xml = build(NOT_SUBJECT).decode()

    assert "FR31000123455" not in xml
    assert "Percent" not in xml


@BUILDERS
@pytest.mark.parametrize(
    ("doc", "treatment"),
    [(TWO_RATES, "B2B"), (PRIVATE, "B2C"), (REVERSED, "B2BINT")],
)
def test_the_treatment_of_the_buyer_is_noted(build, doc, treatment):
    notes = independent.read(build(doc))["BG-1"]

    assert {"BT-21": "BAR", "BT-22": treatment} in notes


@BUILDERS
def test_goods_sent_within_the_union_say_where_they_arrive(build):
    assert b"DE</" in build(SENT_WITHIN_EU).split(b"Delivery")[1] or b">DE<" in build(
        SENT_WITHIN_EU
    )
    assert independent.read(build(SENT_WITHIN_EU))["BG-13"]


@BUILDERS
def test_what_xml_cannot_hold_is_left_out_and_markup_stays_text(build):
    doc = dataclasses.replace(
        TWO_RATES, lines=(line(description="cheville\x00 \x0b<b> & « ébène » 🎻"),), deposits=()
    )
    xml = build(doc)

    assert independent.read(xml)["BG-25"][0]["BT-153"] == "cheville <b> & « ébène » 🎻"
    assert etree.fromstring(xml) is not None


@BUILDERS
def test_the_same_invoice_gives_the_same_bytes(build):
    assert build(DISCOUNTED) == build(DISCOUNTED)
