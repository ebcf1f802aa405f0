"""A field of an instrument or an intake is declared once, and stands wherever it is told to."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone, translation

from repairs.cases import entries as of_cases
from repairs.cases.compile import intake_receipt
from repairs.cases.models import Case
from repairs.instruments import entries as of_instruments
from repairs.instruments.models import Instrument
from repairs.papers.condition import instrument_units, units
from repairs.screens.entries import Entry, Group, Where, facts, names, value_words
from tests import factories

KEPT_BY_THE_CASEBOOK = {
    Instrument: {"kind", "owner", "currency"},
    Case: {"instrument", "owner", "received_by", "waits_for", "waits_note", "waits_since"}
    | {"step", "ended_at", "next_finding"},
}
"""Fields that nobody is asked for on the form: chosen before it, or moved by a verb."""


@pytest.mark.parametrize(
    ("model", "groups"), [(Instrument, of_instruments.GROUPS), (Case, of_cases.GROUPS)]
)
def test_every_field_that_a_person_fills_in_has_its_entry(model, groups):
    typed = {
        field.name
        for field in model._meta.concrete_fields
        if field.editable and not field.primary_key and not field.name.startswith("year_")
    }

    assert set(names(groups)) == typed - KEPT_BY_THE_CASEBOOK[model]
    assert len(names(groups)) == len(set(names(groups)))


@pytest.fixture
def shown_everywhere(monkeypatch):
    """The place of making and the proof of title, shown as a new field would be."""
    where: tuple[Where, ...] = ("page", "receipt", "report")
    instrument = (Group("More", (Entry("place_made", shown=where),)),)
    case = (Group("More", (Entry("title_proof", shown=where),)),)
    for name, groups in (
        ("repairs.instruments.views.GROUPS", instrument),
        ("repairs.cases.compile.OF_INSTRUMENTS", instrument),
        ("repairs.papers.condition.instrument_units.OF_INSTRUMENTS", instrument),
        ("repairs.bench.docket.OF_CASES", case),
        ("repairs.cases.compile.GROUPS", case),
        ("repairs.papers.condition.units.OF_CASES", case),
    ):
        monkeypatch.setattr(name, groups)


@pytest.mark.parametrize(("language", "place"), [("en", "Place"), ("fr", "Lieu")])
def test_a_declared_field_stands_on_page_receipt_and_report(
    client, vielle, armand, language, place, shown_everywhere
):
    case = factories.case(vielle, by=armand, title_proof="Bill of 1999")
    client.force_login(armand)
    receipt = intake_receipt(case, language=language, made_at=timezone.now()).body

    page = client.get(reverse("instruments:detail", args=[vielle.number])).text
    with translation.override(language):
        identity = {row.key: row for row in instrument_units.identity_rows(vielle)}
        stay = {row.key: row for row in units.stay_rows(case)}

    assert '<dt>Place</dt>\n<dd dir="auto">Valbrune</dd>' in page
    assert "Bill of 1999" in client.get(case.get_absolute_url()).text
    assert (place, "Valbrune") in receipt.instrument
    assert "Bill of 1999" in dict(receipt.more).values()
    assert (identity["place_made"].label, identity["place_made"].value) == (place, "Valbrune")
    assert stay["title_proof"].value == "Bill of 1999"


@pytest.mark.parametrize(
    ("value", "english", "french"),
    [
        (None, "", ""),
        (True, "yes", "oui"),
        (False, "no", "non"),
        (Decimal("1.50"), "1.5", "1,5"),
        (dt.date(2026, 11, 3), "3 November 2026", "3 novembre 2026"),
        (dt.datetime(2026, 11, 3, 9, 5, tzinfo=dt.UTC), "10:05", "10:05"),
        (12, "12", "12"),
        ("as typed", "as typed", "as typed"),
    ],
)
def test_a_value_is_worded_as_its_reader_writes_it(value, english, french):
    for language, words in (("en", english), ("fr", french)):
        with translation.override(language):
            assert words in value_words(value)
            assert bool(value_words(value)) is bool(words)


def test_a_choice_and_a_wording_of_its_own_are_said_in_words(vielle):
    group = Group(
        "More",
        (
            Entry("maker_surety", shown=("page",), label="Surety"),
            Entry("mass_g", shown=("page",), said=lambda one: f"{one.mass_g or 0} g"),
            Entry("serial"),
        ),
    )

    assert list(facts(vielle, (group,), "page")) == [
        ("maker_surety", "Surety", "signed"),
        ("mass_g", "Mass", "0 g"),
    ]
