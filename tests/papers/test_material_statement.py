"""The material statement: what is protected, what is known of it, and what is not."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from repairs.cases.models import Case
from repairs.instruments.protection import needs_of
from repairs.treatment import parts as things
from repairs.treatment.part_models import NewPart
from repairs.wood.actions import enter_piece
from repairs.wood.models import Piece, Withdrawal
from tests import factories
from tests.papers import working
from tests.papers.conftest import printed, sheet
from tests.papers.working import open_work

AT = working.BEGUN


@pytest.fixture
def listed(house, case, photo):
    case.instrument.parts.filter(key="key_fronts").update(
        material="ivory_elephant", material_note="lens, Schreger lines", originality="original"
    )
    case.instrument.provenance = "Bill of 1962, kept by the owner."
    case.instrument.save()
    return case


def test_a_protected_part_is_stated_with_all_that_is_known_and_what_is_not(listed, helene):
    part = sheet("material_statement", listed, helene).body.parts[0]

    assert part.part == "key coverings"
    assert (part.known.identified, part.known.originality) == ("lens, Schreger lines", "original")
    assert part.known.evidence == "Bill of 1962, kept by the owner."
    assert part.unrecorded == (
        "its mass",
        "when it was acquired",
        "the number of a permit",
        "the day on which a permit expires",
    )
    text = printed("material_statement", listed, helene)
    assert "not weighed" in text
    assert "none recorded" in text


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_rules_come_with_their_date_and_defer_to_the_authority(listed, helene, language):
    part = sheet("material_statement", listed, helene, language).body.parts[0]
    needs = needs_of("ivory_elephant")

    assert needs is not None
    assert part.sell
    assert part.border
    assert "cites.org" in part.sell
    assert "cites.org" in part.border
    assert str(needs.as_of.year) in part.as_of
    assert part.from_memory is needs.from_memory


def test_a_french_statement_names_the_annex_in_french(listed, helene):
    """“annexe”, “annotation”: as the French text of the Convention has them (from memory)."""
    listed.instrument.parts.filter(key="pegs").update(material="ebony_madagascar")

    parts = sheet("material_statement", listed, helene, "fr").body.parts

    assert {part.listing for part in parts} == {
        "CITES, annexe\u00a0I (annexe\u00a0II pour certaines populations de Loxodonta)",
        "CITES, annexe\u00a0II, annotation #5 (populations de Madagascar)",
    }
    assert "App. I" not in printed("material_statement", listed, helene, "fr")


def test_the_statement_says_that_it_is_no_permit(listed, helene):
    text = printed("material_statement", listed, helene)

    assert "It is no permit and no certificate" in text
    assert "ask the competent authority" in text
    assert "For the workshop: name, date, signature" in text


def test_a_new_part_of_protected_wood_tells_its_piece_and_its_papers(
    listed, finding, armand, helene
):
    piece = enter_piece(
        Piece(
            material="rosewood_unknown",
            identified_by="paper of the dealer",
            length_mm=Decimal(200),
            width_mm=Decimal(60),
            thickness_mm=Decimal(8),
            acquired_on=dt.date(2015, 4, 2),
            acquired_from="an old stock",
            acquisition_proof="bill 1504, binder W",
            permit_number="FR-0815",
            permit_expires_on=dt.date(2027, 1, 1),
        ),
        by=armand,
        at=AT,
    )
    work = open_work(listed, finding, armand)
    things.fit_new_part(
        NewPart(
            intervention=work,
            part=listed.instrument.parts.get(key="pegs"),
            description="peg",
            origin=NewPart.Origin.WOOD_STORE,
        ),
        Withdrawal(
            piece=piece, length_mm=Decimal(60), width_mm=Decimal(25), thickness_mm=Decimal(8)
        ),
        by=armand,
        at=AT,
    )
    case = Case.objects.with_names().get(pk=listed.pk)

    new = sheet("material_statement", case, helene).body.parts[1]

    assert new.known.is_new
    assert new.part == "peg, tuning pegs"
    assert new.known.acquired == "2 April 2015, an old stock"
    assert f"piece {piece.number}" in new.known.evidence
    assert "bill 1504, binder W" in new.known.evidence
    assert (new.known.permit, new.known.expires) == ("FR-0815", "1 January 2027")
    assert "put in during this stay" in printed("material_statement", case, helene)


def test_a_removed_piece_of_it_is_named_with_its_bag(listed, finding, armand, helene):
    work = open_work(listed, finding, armand)
    working.take_off(work, by=armand, part="key_fronts", description="chip of a key front")
    case = Case.objects.with_names().get(pk=listed.pk)

    part = sheet("material_statement", case, helene).body.parts[0]

    assert part.known.removed == "2026-001/1: kept here with the record"


def test_parts_of_which_nothing_is_known_are_counted_not_presumed(listed, helene):
    body = sheet("material_statement", listed, helene).body

    assert len(body.parts) == 1
    assert body.unknown_parts == listed.instrument.parts.filter(material="").count()


def test_the_case_of_a_plain_instrument_has_no_statement(client, house, case, helene):
    factories.finding(case, by=helene)
    client.force_login(helene)

    page = client.get(f"/cases/{case.number}/make/material_statement/").text

    assert "no part is recorded as of a protected material" in page


def test_the_rules_of_a_material_are_printed_once_for_all_its_parts(listed, helene):
    listed.instrument.parts.filter(key="dog_plate").update(material="ivory_elephant")

    made = sheet("material_statement", listed, helene)
    text = printed("material_statement", listed, helene)

    assert len(made.body.parts) == 2
    assert text.count("To cross a border") == 1
