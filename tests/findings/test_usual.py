"""The damages offered first for a part: data, held against the vocabulary and the kinds."""

from __future__ import annotations

import pytest

from repairs.findings.usual import usual_terms
from repairs.findings.vocabulary import terms
from repairs.instruments.kinds import kinds, materials
from tests.whole.fixture_files import load

USUAL = load("vocabulary/usual_damage.json")
EACH = pytest.mark.parametrize("kind", kinds().values(), ids=lambda kind: kind.slug)


def test_every_word_offered_is_in_the_vocabulary_and_every_part_in_a_kind():
    parts = {part.key for kind in kinds().values() for part in kind.parts}
    named = [part for row in USUAL["parts"] for part in row["parts"]]
    offered = [row["terms"] for row in USUAL["parts"]]
    offered += [*USUAL["groups"].values(), USUAL["rest"]]

    assert len(named) == len(set(named))
    assert set(named) <= parts
    assert set(USUAL["groups"]) <= {row["group"] for row in materials().values()}
    for keys in offered:
        assert set(keys) <= set(terms())
        assert len(keys) == len(set(keys)) == 5
    assert all(row["source"].strip() for row in USUAL["parts"])


def test_parts_inside_are_parts_of_a_kind():
    parts = {part.key for kind in kinds().values() for part in kind.parts}

    assert set(load("vocabulary/inside.json")["parts"]) <= parts


@EACH
def test_every_part_has_its_usual_damages(kind):
    for part in kind.parts:
        found = usual_terms(kind, part.key)
        assert 4 <= len(found) <= 5, part.key
        assert all(kind.fits(terms()[key].get("families", ())) for key in found)


def test_a_wheel_turns_out_of_true_and_a_string_breaks():
    vielle, violin = kinds()["vielle_french"], kinds()["violin"]

    assert usual_terms(vielle, "wheel")[0] == "not_true"
    assert usual_terms(violin, "strings")[0] == "broken_string"
    assert usual_terms(vielle, "soundboard")[0] == "crack"


def test_a_part_without_a_row_is_judged_by_what_it_is_made_of():
    violin = kinds()["violin"]

    assert usual_terms(violin, "case") == USUAL["rest"]
    assert usual_terms(violin, "case", "leather") == USUAL["groups"]["skin"]
    assert usual_terms(violin, "case", "steel") == USUAL["groups"]["metal"]
