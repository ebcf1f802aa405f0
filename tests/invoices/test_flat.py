"""A flat price is told from what is counted in pieces: on the page alone, not in the XML."""

from __future__ import annotations

import dataclasses

import pytest

from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from repairs.invoices.drafting import document_of
from tests.invoices import plain


def is_flat(**said) -> bool:
    facts = plain.facts(plain.row(**{"unit": "C62", "sort": "free"} | said))
    [line] = document_of(facts, number="FA-1").lines
    return line.is_flat


@pytest.mark.parametrize(
    ("source", "quantity", "unit", "flat"),
    [
        ("survey", "1", "C62", True),
        ("work:3", "1", "C62", True),
        ("material:3", "1", "C62", True),
        ("estimate_line:3", "1", "C62", True),
        ("deposit:3", "1", "C62", True),
        ("", "1", "C62", False),  # somebody typed one piece
        ("material:3", "2", "C62", False),
        ("work:3", "1", "HUR", False),
    ],
)
def test_what_a_case_gives_at_a_price_is_flat(source, quantity, unit, flat):
    assert is_flat(source=source, quantity=quantity, unit=unit) is flat


@pytest.mark.parametrize("flat", [True, False])
def test_what_a_credit_note_takes_back_is_told_as_it_was_billed(flat):
    credited = plain.credited(("1", "60"), left=(plain.group("60", "12"),))
    left = credited.lines["line:1"]
    line = dataclasses.replace(left.line, unit="C62", is_flat=flat)
    lines = {"line:1": dataclasses.replace(left, line=line)}
    facts = plain.facts(
        plain.row(price="60", unit="C62", source="line:1"),
        credited=dataclasses.replace(credited, lines=lines),
        kind="381",
    )

    [row] = document_of(facts, number="AV-1").lines

    assert row.is_flat is flat


@pytest.mark.parametrize("write", [build_cii, build_ubl])
def test_a_machine_reads_the_same_of_both(write):
    facts = plain.facts(plain.row(unit="C62", source="survey"))
    doc = document_of(facts, number="FA-1")
    [line] = doc.lines
    counted = dataclasses.replace(doc, lines=(dataclasses.replace(line, is_flat=False),))

    assert write(doc) == write(counted)
