"""What a prescription promised, noted and proved on the screen."""

from __future__ import annotations

import pytest

from tests import factories
from tests.treatment.promising import MOVE_MM, done, told, tuned


def test_the_promised_move_is_offered_and_can_be_noted_as_it_stands(case, refit, armand, send, see):
    move = told(case.readings.get(), "keys.move")
    place = (case.number, refit.number)
    page = see("work", *place, by=armand)
    shown = page.split(f'id="id_follow-{move.pk}-amount"')[0].rpartition('value="')[2].split('"')[0]

    answer = send("follow", *place, move.pk, by=armand, amount=shown)

    assert answer.status_code == 302
    assert float(shown) == pytest.approx(MOVE_MM, abs=0.0005)
    assert refit.moves_done.get().amount == pytest.approx(MOVE_MM, abs=0.0005)
    assert "done: −0.3096 mm" in see("work", *place, by=armand)


@pytest.mark.parametrize("typed", ["", "some", "1000", "0,00001"])
def test_a_move_that_cannot_be_is_refused_and_stays_as_typed(case, refit, armand, send, typed):
    move = told(case.readings.get(), "keys.move")

    answer = send("follow", case.number, refit.number, move.pk, by=armand, amount=typed)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="id_follow-{move.pk}-amount_problem"' in page
    assert not typed or f'value="{typed}"' in page
    assert not refit.moves_done.exists()


def test_a_prescription_of_another_case_is_not_followed_here(case, refit, vielle, armand, send):
    other = factories.case(vielle, by=armand)
    move = told(tuned(other, "2,9", by=armand), "keys.move")

    answer = send("follow", case.number, refit.number, move.pk, by=armand, amount="1")

    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("person", "words"),
    [("armand", ("-2.9 cents", "-2.6 cents")), ("french", ("−2,9 cents", "−2,6 cents"))],
)
def test_the_proof_lays_what_was_promised_beside_what_came(case, refit, armand, see, person, words):
    reader = armand if person == "armand" else factories.person("lucie", "luthier", "fr")
    tuned(case, "0,3", by=armand, phase="after")

    page = see("proof", case.number, refit.number, by=reader).replace("−", "-")

    assert all(one.replace("−", "-") in page for one in words)


def test_the_proof_does_not_say_that_a_prescription_was_followed_when_nobody_said_so(
    case, refit, armand, see
):
    tuned(case, "0,3", by=armand, phase="after")
    silent = see("proof", case.number, refit.number, by=armand)
    done(refit, told(case.readings.get(phase="before"), "keys.move"), MOVE_MM, by=armand)

    noted = see("proof", case.number, refit.number, by=armand)

    assert "not noted" in silent
    assert "as told" not in silent
    assert "not noted" not in noted
