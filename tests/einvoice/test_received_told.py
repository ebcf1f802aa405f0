"""What a received file is told to be: its findings by weight, their languages, its sums."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from typing import Any

import pytest
from django.utils import translation

from repairs.einvoice.check import received as room
from repairs.einvoice.check.findings import Finding
from repairs.einvoice.check.received import ReceivedCheck
from repairs.einvoice.check.validate import RuleReport
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.read.received import ReadInvoice
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from tests.einvoice.heard import heard
from tests.einvoice.samples import CREDITED, FOREIGN_HOUSE, TWO_RATES

D = Decimal
CII = build_cii(TWO_RATES)
READ = read_xml(CII, "x")


def stated(**fields: Any) -> ReadInvoice:
    return dataclasses.replace(READ, stated=dataclasses.replace(READ.stated, **fields))


def checked(*findings: Finding, inside: bool = False) -> ReceivedCheck:
    report = RuleReport(checked=("XSD", "FR-CTC", "Factur-X BASIC"), tried=9, findings=findings)
    return ReceivedCheck(name="x", invoice=READ, report=report, xml=CII, is_inside_pdf=inside)


def finding(rule: str, flag: str) -> Finding:
    return Finding(rule=rule, flag=flag, text="…")


def test_what_is_broken_comes_first_and_ours_apart_from_what_is_published():
    rows = [
        finding("OWN-A", "warning"),
        finding("BR-B", "information"),
        finding("BR-C", "fatal"),
        finding("OWN-D", "fatal"),
        finding("BR-FR-E", "warning"),
    ]
    told = checked(*rows)

    assert [one.rule for one in told.ours] == ["OWN-D", "OWN-A"]
    assert [one.rule for one in told.published] == ["BR-C", "BR-B", "BR-FR-E"]
    assert not told.passed


def test_each_finding_says_in_which_language_it_speaks():
    told = checked(*(finding(rule, "warning") for rule in ("OWN-A", "BR-B", "BR-FR-C")))

    with translation.override("fr"):
        assert [one["language"] for one in told.data()["findings"]] == ["fr", "en", "fr"]
    assert [one["language"] for one in told.data()["findings"]] == ["en", "en", "fr"]


def test_the_page_is_spoken_of_only_where_there_is_one():
    assert checked().what_was_read == ""
    assert checked(inside=True).what_was_read.startswith("Only the XML inside the PDF was read")
    assert checked().checked_words == (
        "schema of the format (XSD), French rules (FR-CTC), Factur-X BASIC"
    )


def test_amounts_are_told_with_two_places_or_not_at_all():
    bare = dataclasses.replace(checked(), invoice=stated(due=None, net=D("5")))

    told = bare.data()["stated"]
    assert (told["due"], told["net"], told["vat"]) == (None, "5.00", "82.33")
    assert [row[1] for row in bare.sums] == [
        D("425.42"),
        D("5"),
        D("82.33"),
        D("507.75"),
        None,
    ]


@pytest.mark.parametrize(
    ("doc", "french"), [(TWO_RATES, True), (FOREIGN_HOUSE, False), (CREDITED, True)]
)
def test_the_rules_of_france_are_for_sellers_in_france(monkeypatch, doc, french):
    asked: list[bool] = []
    report = RuleReport(checked=("XSD",), tried=1, findings=())
    monkeypatch.setattr(
        room, "check_rules", lambda *_said, french, process: heard(asked, french, report)
    )

    told = room.check_received(build_ubl(doc), "theirs.xml")

    assert asked == [french]
    assert (told.is_inside_pdf, told.report.findings) == (False, ())


@pytest.mark.parametrize(
    ("rule", "flag", "words"),
    [
        ("OWN-A", "fatal", "wrong"),
        ("BR-A", "fatal", "broken"),
        ("OWN-A", "warning", "to be looked at"),
        ("BR-A", "waived", "does not apply here"),
        ("BR-A", "unknown", "broken"),
    ],
)
def test_a_finding_says_how_much_it_weighs(rule, flag, words):
    found = finding(rule, flag)

    assert found.flag_words == words
    assert found.is_fatal == (flag == "fatal")
    assert dataclasses.replace(found, where="line 12").place == "line 12"
    assert dataclasses.replace(found, where="line 12 and more").place == "line 12 and more"
