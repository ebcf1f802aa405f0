"""Removed parts in their bags, the labels of those, and what became of them."""

from __future__ import annotations

import html
import io

import pypdf
import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.press.render import render
from repairs.treatment.bag_label import bag_label
from repairs.treatment.part_models import RemovedPart
from repairs.treatment.parts import set_fate
from repairs.treatment.refusals import FateRefusedError
from tests import factories
from tests.conftest import NOW
from tests.treatment.bagging import bag

ORIGINALITIES = ("original", "old_replacement", "unknown")


def fate(piece: RemovedPart, word: str, words: str = "", *, by) -> RemovedPart:
    return set_fate(piece, word, words, by=by, at=timezone.now())


# Bags ------------------------------------------------------------------------------------------


def test_bags_are_numbered_through_the_case(work, plain_work, armand, case, send):
    first = bag(work, by=armand)
    answer = send(
        "removed_add",
        case.number,
        plain_work.number,
        by=armand,
        description="key 4",
        position="4th from the head",
    )

    second = case.removed_parts.get(number=2)
    assert (first.bag, second.bag) == ("2026-001/1", "2026-001/2")
    assert (second.fate, second.position) == ("kept", "4th from the head")
    assert answer.status_code == 302
    assert LogEntry.objects.filter(verb="part.removed").count() == 2


def test_a_bag_without_a_description_is_refused_and_the_rest_stays(work, armand, case, send):
    answer = send("removed_add", case.number, work.number, by=armand, position="treble side")

    assert answer.status_code == 422
    assert 'value="treble side"' in answer.content.decode()
    assert not case.removed_parts.exists()


def test_a_tangent_is_no_consumable(work, armand, case, send):
    """Else ticking that box would be a way to throw an old part away."""
    part = case.instrument.parts.get(key="tangents_1")

    answer = send(
        "removed_add",
        case.number,
        work.number,
        by=armand,
        part=part.pk,
        description="tangent",
        is_consumable="on",
    )

    assert "is none of these: strings, cotton, rosin." in html.unescape(answer.content.decode())
    piece = bag(work, by=armand, part="tangents_1", is_consumable=True)
    with pytest.raises(FateRefusedError, match="never thrown away"):
        fate(piece, "discarded", "the owner agreed", by=armand)


@pytest.mark.parametrize("originality", ORIGINALITIES)
def test_an_original_old_or_unknown_part_is_never_thrown_away(work, armand, originality):
    """ECCO Code 2003, art. 8 to 10, as digested in the trade notes; CIMCIM 1993 likewise."""
    piece = bag(work, by=armand, part="tangents_1", originality=originality)

    with pytest.raises(FateRefusedError, match="never thrown away"):
        fate(piece, "discarded", "Garance agreed on Monday", by=armand)

    piece.refresh_from_db()
    assert piece.fate == "kept"


def test_what_is_in_no_list_of_parts_is_not_thrown_away_either(work, armand):
    with pytest.raises(FateRefusedError):
        fate(bag(work, by=armand), "discarded", "Garance agreed", by=armand)


@pytest.mark.parametrize("words", ["", "   "])
def test_a_later_part_is_thrown_away_only_with_the_owner_s_word(work, armand, words):
    piece = bag(work, by=armand, part="nut", originality="later_replacement")

    with pytest.raises(FateRefusedError, match="say who agreed"):
        fate(piece, "discarded", words, by=armand)
    kept = fate(piece, "discarded", "Garance, by telephone on 24 November", by=armand)

    assert (kept.fate, kept.fate_words[:7]) == ("discarded", "Garance")


def test_the_database_knows_no_discarded_part_without_a_word(work, armand):
    piece = bag(work, by=armand)

    with pytest.raises(IntegrityError), transaction.atomic():
        RemovedPart.objects.filter(pk=piece.pk).update(fate="sampled")


def test_old_strings_go_as_was_agreed_at_the_intake(work, armand):
    piece = bag(work, by=armand, part="chanterelles", is_consumable=True)

    assert fate(piece, "discarded", by=armand).fate_words == "as agreed at the intake"


def test_old_strings_that_the_owner_wants_back_are_not_thrown_away(work, armand, case):
    Case.objects.filter(pk=case.pk).update(consumables_kept=True)
    work.case.refresh_from_db()
    piece = bag(work, by=armand, part="cotton", is_consumable=True)

    with pytest.raises(FateRefusedError, match="wants old strings and cotton back"):
        fate(piece, "discarded", by=armand)
    assert fate(piece, "discarded", "Garance: no longer", by=armand).fate == "discarded"


@pytest.mark.parametrize("words", ["", "  "])
def test_a_sample_without_a_word_is_refused(work, armand, words):
    piece = bag(work, by=armand)

    with pytest.raises(FateRefusedError, match="who agreed to the sample"):
        fate(piece, "sampled", words, by=armand)


@pytest.mark.parametrize("word", ["given_back", "refitted", "kept"])
def test_what_keeps_the_part_needs_no_word(work, armand, word):
    piece = bag(work, by=armand, part="tangents_1", originality="original")

    fate(piece, word, by=armand)

    line = LogEntry.objects.get(verb="part.fate")
    assert line.details == {"bag": 1, "fate": word}


def test_the_refusal_stands_beside_the_form_with_what_was_typed(work, armand, case, send):
    piece = bag(work, by=armand, part="tangents_1")

    answer = send("fate", case.number, piece.number, by=armand, fate="discarded", words="he said")

    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert "never thrown away" in page
    assert 'value="he said"' in page
    assert '<option value="discarded" selected>' in page


def test_after_the_sign_off_a_bag_may_still_be_given_back(plain_work, armand):
    piece = bag(plain_work, by=armand)
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    assert fate(piece, "given_back", by=armand).fate == "given_back"


def test_who_only_reads_sees_the_page_of_a_bag_and_no_form(work, armand, tom, case, see):
    piece = bag(work, by=armand, part="tangents_1", position="key 4, wide side up")

    page = see("bag", case.number, piece.number, by=tom)

    assert "key 4, wide side up" in page
    assert 'name="fate"' not in page
    assert 'name="fate"' in see("bag", case.number, piece.number, by=armand)


# Labels ----------------------------------------------------------------------------------------


def text_of(pdf: bytes) -> str:
    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(page.extract_text().split())


@pytest.mark.parametrize(
    ("language", "words"), [("en", "(original)"), ("fr", "sautereaux")], ids=["en", "fr"]
)
@pytest.mark.real_press
def test_a_label_says_what_it_is_from_where_and_of_which_instrument(
    work, armand, house, language, words
):
    piece = bag(
        work,
        by=armand,
        part="tangents_1",
        originality="original",
        description="tangent of key 4",
        position="wide side up",
    )

    pdf, pages = render(bag_label(piece, language=language, made_at=NOW))

    said = text_of(pdf)
    assert pages == 1
    for one in ("2026-001/1", "tangent of key 4", "wide side up", "I-0001", "Armand Sautarel"):
        assert one in said
    assert words.strip("()") in said


def test_a_label_of_what_is_in_no_list_says_where_it_sat(work, armand, house):
    piece = bag(work, by=armand, description="a wad", position="behind the nut")

    assert "behind the nut" in text_of(render(bag_label(piece, language="en", made_at=NOW))[0])


@pytest.mark.real_press
def test_the_longest_words_still_fit_on_one_label(work, armand, house):
    piece = bag(work, by=armand, part="tangents_1", description="W" * 200, position="M" * 200)

    assert render(bag_label(piece, language="fr", made_at=NOW))[1] == 1


def test_the_label_is_handed_out_as_a_pdf_that_no_cache_keeps(work, armand, tom, case, client):
    piece = bag(work, by=armand)
    client.force_login(tom)

    answer = client.get(f"/cases/{case.number}/bags/{piece.number}/label.pdf")

    assert answer["Content-Type"] == "application/pdf"
    assert "no-store" in answer["Cache-Control"]
    assert answer.content.startswith(b"%PDF-")
