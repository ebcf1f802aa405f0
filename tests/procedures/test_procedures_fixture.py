"""The procedures as delivered: whole, in order, and in both languages."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest

from repairs.language.text import LANGUAGES
from tests.procedures.delivered import (
    EVERY,
    KINDS,
    PROCEDURES,
    TOUCHES,
    load,
    words,
)

FIELDS = words(
    "key label group families purpose cautions steps materials readings asks photos reversibility "
    "touches minutes source"
)
KEYS = words(
    "crack_reglue splint open_seam wheel_truing wheel_recentring axle_bush key_replacement "
    "tangent_refit key_easing bridge_fitting bridge_refit dog_plate peg_bushing worm_treatment "
    "loose_bar finish_touch_in string_set string_change full_setup free small_job"
)
GROUPS = set(words("wood wheel keys strings finish whole free"))
PHOTOS = ["before", "during", "after"]
GRADES = {"reversible", "partly", "irreversible"}
ASKS = {"glue_temperature", "climate"}
SNAKE = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")


def spoken(value: Any) -> Iterator[dict[str, str]]:
    """Yield every text for people, however deep."""
    if isinstance(value, dict):
        if "en" in value:
            yield value
        for child in value.values():
            yield from spoken(child)
    elif isinstance(value, list):
        for child in value:
            yield from spoken(child)


def test_no_delivered_procedure_is_gone_and_each_is_there_once() -> None:
    """Cases name them by their keys for ever; a new one needs no line here."""
    found = [one["key"] for one in PROCEDURES]

    assert set(KEYS) <= set(found)
    assert len(found) == len(set(found))


@EVERY
def test_a_procedure_has_every_field_in_order(one: dict[str, Any]) -> None:
    assert list(one) == FIELDS
    assert one["group"] in GROUPS
    assert all(one["source"][language].strip() for language in ("en", "fr"))
    assert set(one["asks"]) <= ASKS and set(one["touches"]) <= TOUCHES
    assert one["photos"] == [moment for moment in PHOTOS if moment in one["photos"]]
    assert set(one["reversibility"]) == {"grade", "words"}
    assert one["reversibility"]["grade"] in GRADES


@EVERY
def test_keys_are_short_snake_case_and_unique(one: dict[str, Any]) -> None:
    for rows in (one["steps"], one["materials"]):
        keys = [row["key"] for row in rows]

        assert not [key for key, times in Counter(keys).items() if times > 1]
        assert all(SNAKE.fullmatch(key) and len(key) <= 40 for key in keys)
        assert all(set(row) == {"key", "label"} for row in rows)
    assert SNAKE.fullmatch(one["key"])
    assert one["steps"]


@EVERY
def test_minutes_rise_within_a_working_week(one: dict[str, Any]) -> None:
    low, high = one["minutes"]

    assert 0 < low < high <= 5 * 8 * 60


@EVERY
def test_labels_stand_inside_a_sentence_and_sentences_end(one: dict[str, Any]) -> None:
    for text in spoken([one["label"], one["steps"], one["materials"]]):
        for label in text.values():
            assert label[0].islower() and not label.endswith("."), label
    for text in (one["purpose"], one["reversibility"]["words"]):
        for sentence in text.values():
            assert sentence[0].isupper() and sentence.endswith("."), sentence


@pytest.mark.parametrize(
    "name", ["procedures.json", "vocabulary/cautions.json", "vocabulary/as_found.json"]
)
def test_french_is_there_and_set_as_french(name: str) -> None:
    found = list(spoken(load(name)))

    assert found
    for text in found:
        assert {"en", "fr"} <= set(text) <= set(LANGUAGES)
        assert text["en"].strip() and text["fr"].strip()
        assert not set("'\"") & set(text["en"] + text["fr"])
        assert not re.search(r"[^\u00a0\u202f][:;?!»%]|«[^\u00a0\u202f]", text["fr"]), text["fr"]
        assert not re.search(r"\d (mm|°C|%)", text["en"] + text["fr"]), text
        assert not re.search(r"\d\.\d", text["fr"]), text["fr"]


@EVERY
def test_a_procedure_is_meant_for_families_that_some_kind_belongs_to(one: dict[str, Any]) -> None:
    assert set(one["families"]) <= {family for kind in KINDS for family in kind["families"]}
    if one["group"] == "wheel" or one["key"] == "full_setup":
        assert one["families"] == ["wheel_fiddle"]
    if one["key"] == "dog_plate":
        assert one["families"] == ["dog"]
    if one["group"] == "keys":
        assert one["families"] == ["keyed"]
