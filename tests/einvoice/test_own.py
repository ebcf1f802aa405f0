"""Our own checks one by one, without the official rules: each fault alone, at its very limit."""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from repairs.einvoice.check.own import check_document, check_written
from repairs.einvoice.document import Deposit, Exemption, Note, Preceding, TaxGroup, Totals
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.write import terms
from repairs.einvoice.write.cii import build_cii
from tests.einvoice.samples import CREDITED, EXEMPTED, TWO_RATES, line

D = Decimal
DAY = dt.timedelta(days=1)
READ = read_xml(build_cii(TWO_RATES), "x")


def changed(doc, **fields):
    return dataclasses.replace(doc, **fields)


def found(doc) -> list[str]:
    return [one.rule for one in check_document(doc)]


def test_good_invoices_are_left_alone():
    assert found(TWO_RATES) == found(CREDITED) == found(EXEMPTED) == []
    assert list(check_written(TWO_RATES, READ)) == []


def test_a_day_of_payment_is_wanted_only_where_something_is_due():
    undated = changed(TWO_RATES, due_on=None)
    paid = changed(undated, deposits=(Deposit(amount=D("507.75")),))

    almost = changed(undated, deposits=(Deposit(amount=D("507.25")),))

    assert found(undated) == found(almost) == ["OWN-DUE"]
    assert found(paid) == []
    assert found(changed(CREDITED, due_on=None)) == []


def test_an_invoice_may_be_due_on_its_day_and_not_before():
    issued = TWO_RATES.issued_on

    assert found(changed(TWO_RATES, due_on=issued)) == []
    assert found(changed(TWO_RATES, due_on=issued - DAY)) == ["OWN-DUE"]
    assert found(changed(TWO_RATES, due_on=issued - DAY, kind="386")) == []
    paid = (Deposit(amount=D("507.75")),)
    assert found(changed(TWO_RATES, due_on=issued - DAY, deposits=paid)) == []


@pytest.mark.parametrize("gone", ["number", "issued_on"])
def test_a_credit_note_names_its_invoice_with_its_day(gone):
    named = changed(CREDITED.preceding[0], **{gone: "" if gone == "number" else None})

    assert found(changed(CREDITED, preceding=(named,))) == ["OWN-CREDIT"]


def test_only_a_numbered_deposit_needs_its_day():
    numbered = Deposit(amount=D("1.00"), number="FA-1")

    assert found(changed(TWO_RATES, deposits=(numbered,))) == ["OWN-DEPOSIT"]
    assert found(changed(TWO_RATES, deposits=(Deposit(amount=D("1.00")),))) == []


@pytest.mark.parametrize(
    ("text", "code", "rules"),
    [("a reason", "", []), ("", "VATEX-FR-FRANCHISE", []), ("", "", ["OWN-REASON"])],
)
def test_a_reason_is_a_sentence_or_a_code(text, code, rules):
    [category] = EXEMPTED.categories
    reason = Exemption(category=category, text=text, code=code)

    assert found(changed(EXEMPTED, exemptions=(reason,))) == rules


def test_whose_number_is_wrong_is_said():
    nameless = changed(TWO_RATES.buyer, name=" ")

    assert [one.text for one in check_document(changed(TWO_RATES, buyer=nameless))] == [
        "A name is missing."
    ]
    assert found(changed(TWO_RATES, seller=changed(TWO_RATES.seller, bic="X"))) == ["OWN-SELLER"]


@pytest.mark.parametrize(
    ("fields", "what"),
    [
        ({"kind": "386"}, "(kind)"),
        ({"number": "other"}, "(number)"),
        ({"issued_on": TWO_RATES.issued_on + DAY}, "(date)"),
        ({"due_on": None}, "(due date): "),
        ({"currency": "CHF"}, "(currency): EUR, not CHF"),
        ({"seller": changed(TWO_RATES.seller, name="A", legal_name="B")}, "(seller)"),
        ({"buyer": changed(TWO_RATES.buyer, name="A", legal_name="B")}, "(buyer)"),
        ({"preceding": (Preceding(number="FA-9"),)}, "(references): —, not FA-9"),
        ({"lines": TWO_RATES.lines[:-1]}, "(number of lines)"),
    ],
)
def test_what_the_file_says_otherwise_is_named(fields, what):
    said = [one.text for one in check_written(changed(TWO_RATES, **fields), READ)]

    assert any(what in text for text in said)


@pytest.mark.parametrize("field", ["number", "description", "quantity", "unit_price"])
def test_a_line_that_the_file_says_otherwise_is_named_with_its_place(field):
    first = TWO_RATES.lines[0]
    other = D("8") if field in ("quantity", "unit_price") else "other"
    doc = changed(TWO_RATES, lines=(changed(first, **{field: other}), *TWO_RATES.lines[1:]))

    said = [one.text for one in check_written(doc, READ)]
    where = "other" if field == "number" else first.number
    assert any(f"(line {where})" in text for text in said)


def test_sums_and_groups_that_differ_are_named_each():
    stated = changed(READ, stated=changed(READ.stated, due=D("357.76")))
    [one] = check_written(TWO_RATES, stated)
    assert "(totals as stated)" in one.text
    prepaid = changed(READ, prepaid=READ.prepaid + D("0.01"))
    assert "(prepaid)" in " ".join(one.text for one in check_written(TWO_RATES, prepaid))
    group = changed(READ.groups[0], reason="because")
    [one] = check_written(TWO_RATES, changed(READ, groups=(group, *READ.groups[1:])))
    assert "(tax groups)" in one.text


@pytest.mark.parametrize(
    ("off", "rules"),
    [("0.00", set()), ("1.00", set()), ("1.01", {"OWN-TAX", "OWN-READ-BACK"})],
)
def test_a_credit_note_may_be_off_by_one_and_not_by_a_cent_more(off, rules):
    """EN 16931, BR-CO-17: one unit of the currency."""
    one = line("1", quantity=D(1), unit_price=D("100"), rate_pct=D(20))
    left = TaxGroup(category="S", rate_pct=D(20), base=D("100.00"), tax=D("20.00") + D(off))
    doc = changed(CREDITED, lines=(one,), tax_left=(left,), allowances=())

    report = check_written(doc, read_xml(build_cii(doc), "x"))
    assert {one.rule for one in report} == rules


def test_a_framework_is_told_by_what_was_paid_before():
    def framework(doc, **totals):
        return terms.framework(doc, Totals(**{**EMPTY, **totals}))

    unpaid = changed(TWO_RATES, deposits=())
    assert framework(unpaid) == "S1"
    assert framework(unpaid, prepaid=D("5"), due=D("0")) == "S2"
    assert framework(unpaid, prepaid=D("5"), due=D("1")) == "S1"
    assert framework(changed(unpaid, due_on=None), prepaid=D("5"), due=D("0")) == "S1"
    assert framework(changed(TWO_RATES, kind="386"), prepaid=D("5"), due=D("0")) == "S1"
    numbered = changed(unpaid, deposits=(Deposit(amount=D("5"), number="FA-1"),), operation="M")
    assert framework(numbered, prepaid=D("5"), due=D("0")) == "M4"
    assert framework(CREDITED)[1] == "1"


def test_only_a_french_seller_tells_how_the_buyer_is_treated():
    assert terms.notes(TWO_RATES)[-1] == Note(code="BAR", text="B2B")
    abroad = changed(TWO_RATES, seller=changed(TWO_RATES.seller, country="BE"))
    assert terms.notes(abroad) == abroad.notes


NAMES = ("lines_net", "allowances", "charges", "net", "vat", "gross", "prepaid", "due")
EMPTY: dict[str, Any] = {name: D("0.00") for name in NAMES} | {"line_nets": (), "groups": ()}
