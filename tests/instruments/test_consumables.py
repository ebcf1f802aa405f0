"""What wears out follows from the parts of a kind: nobody offers cotton for a guitar."""

from __future__ import annotations

import pytest
from django.utils import translation

from repairs.instruments.consumables import (
    consumable_parts,
    consumables_of,
    consumables_words,
    is_cottoned,
)
from repairs.instruments.kinds import kind_of, kinds
from repairs.language.text import in_language
from repairs.procedures.versions import procedures


@pytest.mark.parametrize(
    ("kind", "sorts"),
    [
        ("vielle_french", ("strings", "cotton", "rosin")),
        ("wheel_lira", ("strings", "cotton", "rosin")),
        ("guitar", ("strings",)),
        ("violin", ("strings",)),
        ("nyckelharpa", ("strings", "rosin", "bow_hair")),
    ],
)
def test_each_kind_has_what_its_parts_say(kind, sorts):
    assert consumables_of(kind_of(kind)) == sorts


def test_every_kind_has_strings_and_only_wheels_have_cotton():
    for kind in kinds().values():
        assert "strings" in consumables_of(kind)
        assert is_cottoned(kind) is ("wheel_fiddle" in kind.families)


def test_they_are_named_in_the_reader_s_language():
    kind = kind_of("vielle_french")
    with translation.override("fr"):
        assert consumables_words(kind) == "cordes, coton, colophane"


def test_a_soundboard_wears_out_on_no_kind():
    assert "soundboard" not in consumable_parts()
    assert "bow_hair" in consumable_parts()


@pytest.mark.django_db
def test_a_small_job_on_a_guitar_is_offered_no_cotton():
    job = next(one for one in procedures() if one.key == "small_job")

    def offered(kind: str) -> list[str]:
        return [in_language(words, "en") for words in job.materials_for(kind_of(kind))]

    assert "long-fibred cotton" in offered("vielle_french")
    assert offered("guitar") == ["strings", "peg compound, or chalk and soap"]
