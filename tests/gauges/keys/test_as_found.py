"""Which temperament a keyboard is in, and what waits for an answer before a tangent is moved.

A few simulated keyboards of each kind; the whole table is printed by `manage.py measure cover`.
"""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.keys.asfound import FAMILY, Read, as_found, library
from repairs.gauges.keys.temperament import SYNTONIC_COMMA, TEMPERAMENTS
from repairs.measures import cover_keys
from repairs.measures.cover_keys import Truth
from tests.gauges.keys.asking import run

JUST = TEMPERAMENTS["just"]
KEYS = list(range(1, 24))


def read_in(name, truth, seed):
    off = cover_keys.keyboard(np.random.default_rng(seed), truth, name)
    return (off + cover_keys.wanted(name)).tolist()


@pytest.mark.parametrize("name", [name for name in TEMPERAMENTS if name != "just"])
@pytest.mark.parametrize("truth", [Truth(), Truth(bridge_mm=2.0, turned_cents=15.0)])
def test_a_keyboard_in_another_temperament_is_told_so_and_not_moved(name, truth):
    cents = read_in(name, truth, 3)

    answer = run(keys=23, measured_cents=cents, open_cents=0)

    assert answer["as_found"]["candidates"][0]["name"] == name
    assert answer["as_found"]["wanted_pct"] < 1.0
    moved = {line["action"] for line in answer["strings"][0]["keys"]} - {"leave", "wait"}
    assert answer["as_found"]["waits"] == "temperament"
    assert answer["keys"] == [] and moved == set()
    # Asked for, they are moved; as found, few or none.
    asked = run(keys=23, measured_cents=cents, open_cents=0, retemper=True)
    assert len(asked["strings"][0]["wrong_keys"]) >= 3
    kept = run(keys=23, measured_cents=cents, open_cents=0, temperament="as_found")
    assert kept["temperament"] == name
    assert len(kept["strings"][0]["wrong_keys"]) <= 2


@pytest.mark.parametrize("name", ["kirnberger_iii", "werckmeister_iii", "meantone"])
def test_out_of_order_too_it_is_not_moved_unasked(name):
    # Which of two that lie close it is, is in doubt; that it is not the just one, is not.
    for seed in range(6):
        cents = read_in(name, Truth(place_mm=0.5), seed)
        answer = run(keys=23, measured_cents=cents, open_cents=0)
        assert answer["as_found"]["waits"] == "temperament" and answer["keys"] == []


def test_of_simulated_keyboards_the_temperament_is_named():
    # Tangents within 0.1 mm: all of 30; scattered by 0.3 mm still eight in ten.
    for place, least in ((0.1, 30), (0.3, 24)):
        right = 0
        for seed, name in enumerate(list(TEMPERAMENTS) * 5):
            cents = np.array(read_in(name, Truth(place_mm=place), seed))
            found = as_found(KEYS, [Read(cents, 345.0, 0.5, True)], JUST, 0)
            assert found is not None
            right += found.candidates[0].name == name
        assert right >= least, place


def test_the_comma_family_is_known_by_its_fifths():
    # A sixth of a comma: the fifth 701.955 − 21.506/6 = 698.371.
    scale = FAMILY["comma_1_6"]
    assert scale.at(7) == pytest.approx(698.371, abs=1e-3)
    assert scale.at(4) == pytest.approx(4 * 698.371 - 2400, abs=5e-3)
    cents = np.array([scale.at(key) for key in KEYS])

    found = as_found(KEYS, [Read(cents, 345.0, 0.5, True)], JUST, 0)

    assert found is not None and found.candidates[0].name == "comma_1_6" and found.is_known
    assert pytest.approx(3.5844, abs=1e-4) == SYNTONIC_COMMA / 6


def test_the_wanted_one_stands_first_in_the_library_and_once():
    names = [(scale.name, root) for scale, root in library(JUST, 7)]

    assert names[0] == ("just", 7)
    assert len(set(names)) == len(names)
    assert sum(name == "equal" for name, _root in names) == 1


def test_a_keyboard_in_no_order_is_no_temperament():
    cents = np.array([100.0 * key for key in KEYS]) + np.random.default_rng(2).normal(0, 25, 23)

    found = as_found(KEYS, [Read(cents, 345.0, 0.5, True)], JUST, 0)

    assert found is not None and not found.is_known


def test_two_or_three_wrong_tangents_are_a_correction_and_no_temperament():
    off = [0.0] * 23
    off[4], off[9] = 11.0, -9.0

    answer = run(keys=23, reading="off_wanted", measured_cents=off, open_cents=0)

    assert answer["as_found"]["waits"] == ""
    assert answer["strings"][0]["wrong_keys"] == [5, 10]


@pytest.mark.parametrize("count", [3, 23])
def test_all_alike_and_no_open_string_read_asks_for_it_and_moves_nothing(count):
    answer = run(keys=count, reading="off_wanted", measured_cents=[9.0] * count)

    (step,) = answer["first"]
    assert (step["code"], step["amount"]) == ("read_open_string", pytest.approx(-9.0, abs=0.01))
    assert answer["keys"] == []
    assert {line["action"] for line in answer["strings"][0]["keys"]} <= {"leave", "wait"}
    # Read, they are what they are.
    known = run(keys=count, reading="off_wanted", measured_cents=[9.0] * count, open_cents=9)
    assert known["first"] == [] and {a["verb"] for k in known["keys"] for a in k["acts"]} == {
        "leave"
    }


def test_as_found_needs_six_keys_and_no_wanted_note():
    with pytest.raises(GaugeInputError) as few:
        run(keys=5, measured_cents=[112, 204, 316, 386, 498], temperament="as_found")
    assert (few.value.code, few.value.field) == ("too_few", "measured_cents")
    with pytest.raises(GaugeInputError) as none:
        run(keys=7, reading="off_wanted", measured_cents=[0] * 7, temperament="as_found")
    assert (none.value.code, none.value.field) == ("no_wanted", "reading")


def test_two_keys_swapped_are_refused_with_their_rows():
    with pytest.raises(GaugeInputError) as refused:
        run(keys=4, measured_cents=[112, 316, 204, 386])

    assert (refused.value.code, refused.value.row) == ("swapped", 3)
    assert "row 2" in str(refused.value)
