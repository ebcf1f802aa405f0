"""A luthier's word that the work is done and proved: refused while something is missing."""

from __future__ import annotations

import html
from typing import Any

import pytest
from django.utils import timezone, translation

from repairs.audit.models import LogEntry
from repairs.procedures.versions import pin
from repairs.readings.actions import set_withdrawn
from repairs.readings.sheets.catalogue import SHEETS
from repairs.treatment.agree import Wanted
from repairs.treatment.clocks import start_clock, stop_clock
from repairs.treatment.models import Intervention, SignOff
from repairs.treatment.refusals import NotProvedError, WorkClosedError
from repairs.treatment.signing import sign_off
from tests import factories
from tests.treatment.test_proof import asked, begun, wheel


def sign(work: Intervention, *, by: Any, **reasons: str) -> SignOff:
    said = {key.replace("__", "."): words for key, words in reasons.items()}
    return sign_off(work, reasons=said, words="It holds.", by=by, at=timezone.now())


@pytest.fixture
def recentring(case, armand) -> Intervention:
    work = begun(case, by=armand, readings=[asked("wheel", "after", "ecc_mm")])
    return factories.ticked(work, by=armand)


def test_a_missing_reading_is_excused_by_no_reason(recentring, armand):
    with pytest.raises(NotProvedError, match="Wheel, dial readings, after work is missing"):
        sign(recentring, by=armand, after__wheel="It turns well, believe me.")

    assert not SignOff.objects.exists()


def test_a_reading_outside_needs_a_stated_reason(case, recentring, armand):
    wheel(case, 10, by=armand)

    with pytest.raises(NotProvedError, match="outside its limits and no reason is stated"):
        sign(recentring, by=armand, after__wheel="  ")
    row = sign(recentring, by=armand, after__wheel="The axle is bent; the owner knows.")

    (line, *_rest) = SignOff.objects.get(pk=row.pk).rows
    assert (line["state"], line["reason"]) == ("outside", "The axle is bent; the owner knows.")
    assert line["readings"] == [1]


def test_a_reading_that_is_not_permitted_is_fine(case, recentring, armand):
    wheel(case, 0, by=armand, not_permitted="not to be turned")

    assert sign(recentring, by=armand).rows[0]["state"] == "not_permitted"


def test_a_clock_that_runs_is_stopped_first(plain_work, lise, armand):
    factories.ticked(plain_work, by=armand)
    spell = start_clock(plain_work, by=lise, at=timezone.now())

    with pytest.raises(NotProvedError, match="the clock of Lise Sautarel still runs"):
        sign(plain_work, by=armand)
    stop_clock(spell, by=lise, at=timezone.now())

    assert sign(plain_work, by=armand).by == armand


def test_everything_that_lacks_is_named_at_once(work, armand):
    with pytest.raises(NotProvedError) as refused:
        sign(work, by=armand)

    said = str(refused.value)
    for one in ("Photo, before work", "Photo, after work", "Climate", "glue", "Steps"):
        assert one in said


def test_steps_left_open_need_a_reason(plain_work, armand):
    with pytest.raises(NotProvedError, match="Steps"):
        sign(plain_work, by=armand)

    assert sign(plain_work, by=armand, steps="nothing was written").rows[0]["reason"] != ""


def test_a_sign_off_is_signed_once_and_never_rewritten(plain_work, armand, helene):
    row = sign(factories.ticked(plain_work, by=armand), by=armand)

    with pytest.raises(WorkClosedError):
        sign(plain_work, by=helene)
    with pytest.raises(TypeError, match="never rewritten"):
        row.save()

    assert SignOff.objects.get().by == armand


def test_the_last_sign_off_proves_the_case(case, armand, helene):
    first, second = factories.agreed_works(
        case,
        *(Wanted(version=pin("free", at=timezone.now())) for _time in range(2)),
        by=armand,
    )
    works = [factories.ticked(factories.begun_work(row, by=armand), by=armand) for row in (first,)]

    sign(works[0], by=armand)
    case.refresh_from_db()
    assert case.step == "on_bench"
    sign(factories.ticked(factories.begun_work(second, by=armand), by=armand), by=helene)

    case.refresh_from_db()
    last = case.moves.last()
    assert (case.step, last.by, last.because) == ("proved", helene, "the last work is signed off")
    assert LogEntry.objects.filter(verb="work.signed_off").count() == 2


def test_work_begun_again_under_the_same_consent_is_signed_again(case, plain_work, armand):
    sign(factories.ticked(plain_work, by=armand), by=armand)
    again = factories.begun_work(plain_work.agreed, by=armand)
    case.refresh_from_db()
    assert (again.number, case.step) == (2, "on_bench")

    sign(factories.ticked(again, by=armand), by=armand)

    case.refresh_from_db()
    assert case.step == "proved"


# On the screen -----------------------------------------------------------------------------------


def test_the_docket_tells_a_weak_sign_off_from_a_full_one(case, recentring, armand, client):
    """A wheel outside its limits, signed with a reason, and work that asks for nothing."""
    full = factories.begun_work(factories.agreed_work(case, "free", by=armand), by=armand)
    sign(factories.ticked(full, by=armand), by=armand)
    client.force_login(armand)
    before = html.unescape(client.get(case.get_absolute_url()).text)

    wheel(case, 10, by=armand)
    sign(recentring, by=armand, after__wheel="The axle is bent.")
    page = html.unescape(client.get(case.get_absolute_url()).text)

    assert "all as it must be" in before
    assert "signed off, not all as it must be" not in before
    assert "◐ signed off, not all as it must be" in page
    assert "● signed off" in page
    assert "reason: The axle is bent." in page


@pytest.mark.parametrize("person", ["lise", "odile", "tom"])
def test_an_apprentice_does_not_sign_off(case, plain_work, armand, request, person, send, see):
    factories.ticked(plain_work, by=armand)
    who = request.getfixturevalue(person)

    answer = send("proof", case.number, plain_work.number, by=who)

    assert answer.status_code == 403
    assert "Prove and sign off" not in see("work", case.number, plain_work.number, by=who)
    assert not SignOff.objects.exists()


def test_the_refusal_names_what_is_missing_and_keeps_what_was_typed(case, work, armand, send):
    answer = send(
        "proof",
        case.number,
        work.number,
        by=armand,
        words="All well.",
        **{"reason_asks.climate": "no hygrometer"},
    )

    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert "Not signed off yet." in page
    assert "All well." in page
    assert 'value="no hygrometer"' in page


def test_a_luthier_signs_on_the_screen_with_reasons(case, work, armand, send, see):
    keys = ("photos.before", "photos.after", "asks.climate", "asks.glue_temperature", "steps")

    answer = send(
        "proof",
        case.number,
        work.number,
        by=armand,
        words="Tight again.",
        **{f"reason_{key}": "camera broken" for key in keys},
    )

    page = see("proof", case.number, work.number, by=armand)
    assert answer.status_code == 302
    assert "Signed off by Armand Sautarel" in page
    assert "reason: camera broken" in page
    assert "Tight again." in page
    assert "Sign this work off" not in page


def test_what_a_sign_off_rests_on_is_shown_as_it_was(case, recentring, armand, see):
    """A reading that is withdrawn later does not change what was signed."""
    reading = wheel(case, 0.5, by=armand)
    sign(recentring, by=armand)

    set_withdrawn(reading, True, by=armand, at=timezone.now())

    for page in ("proof", "work"):
        assert "as it must be" in see(page, case.number, recentring.number, by=armand)


def test_what_was_achieved_is_shown_as_it_was_written_down(case, armand, see):
    before = wheel(case, 10, by=armand, phase="before")
    work = factories.ticked(
        begun(case, by=armand, readings=[asked("wheel", "after", "oval_amp_mm")]), by=armand
    )
    wheel(case, 2, by=armand)
    sign(work, by=armand)

    set_withdrawn(before, True, by=armand, at=timezone.now())

    page = see("proof", case.number, work.number, by=armand)
    assert "Predicted against achieved" in page
    assert f"{work.achieved.get().got:.3f} mm" in page.replace("−", "-")


def test_a_french_luthier_reads_in_french_what_is_missing(case, recentring, send):
    reader = factories.person("lucie", "luthier", "fr")

    answer = send("proof", case.number, recentring.number, by=reader, words="Juste.")

    page = html.unescape(answer.content.decode()).casefold()
    assert answer.status_code == 409
    with translation.override("fr"):
        assert str(SHEETS["wheel"].label).casefold() in page
    with translation.override("en"):
        assert str(SHEETS["wheel"].label).casefold() not in page
