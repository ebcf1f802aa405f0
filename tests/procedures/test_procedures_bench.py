"""The procedures as delivered: their cautions, and the order in which the bench works."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.procedures.delivered import (
    BY_KEY,
    EVERY,
    PROCEDURES,
    in_order,
    load,
    said,
    steps,
    wanted,
    words,
)

CAUTIONS = words(
    "dust toxic_dust solvent glue_heat pesticide lead mould protected_species blades rotating "
    "tension weak_wood cold fire"
)
OWN_CARE_IS_ENOUGH = {"tension", "weak_wood"}
DUSTY = re.compile(
    r"\b(scrape|scraper|powder|ream|pare|saw|plane|bore|trim|frass|cut height|bevelled|level it)\b"
)
SIXTEEN = words(
    "acclimatise drive wheel rim keybox bridge strings paper shims cotton rosin tune tangents dog "
    "balance record"
)


# Cautions


def test_cautions_are_known_once_and_all_used_ones_exist() -> None:
    found = load("vocabulary/cautions.json")

    assert [caution["key"] for caution in found] == CAUTIONS
    assert all(list(caution) == ["key", "label", "caution"] for caution in found)
    for one in PROCEDURES:
        assert set(one["cautions"]) <= set(CAUTIONS)
        assert len(one["cautions"]) == len(set(one["cautions"]))
    assert {key for one in PROCEDURES for key in one["cautions"]} == set(CAUTIONS)


def test_cautions_defer_to_local_rules_where_there_are_any() -> None:
    for caution in load("vocabulary/cautions.json"):
        if caution["key"] not in OWN_CARE_IS_ENOUGH:
            assert "local" in caution["caution"]["en"]
            assert "locales" in caution["caution"]["fr"]


def test_work_that_makes_dust_warns_of_it() -> None:
    dusty = {one["key"] for one in PROCEDURES if DUSTY.search(said(one))}

    assert dusty >= {
        "crack_reglue", "splint", "wheel_truing", "axle_bush", "key_replacement",
        "key_easing", "bridge_fitting", "dog_plate", "peg_bushing", "worm_treatment",
    }  # fmt: skip
    for key in dusty:
        assert {"dust", "toxic_dust"} & set(BY_KEY[key]["cautions"]), key


@EVERY
def test_work_with_hide_glue_asks_for_its_temperature(one: dict[str, Any]) -> None:
    glue = "hide_glue" in {row["key"] for row in one["materials"]}

    assert ("glue_heat" in one["cautions"]) is glue
    assert ("glue_temperature" in one["asks"]) is glue
    assert ("60\u00a0°C or less" in said(one)) is glue


@EVERY
def test_strings_that_are_let_go_are_let_go_slowly(one: dict[str, Any]) -> None:
    if re.search(r"strings? (go|off|on)\b|string up|slacken", said(one)):
        assert "tension" in one["cautions"]


# The order of the bench


def test_a_rim_is_cut_last_and_only_with_a_consent_of_its_own() -> None:
    """Order of a wheel prescription: project decision. Direction and tool: trade notes 4."""
    truing = BY_KEY["wheel_truing"]

    assert in_order(
        steps("wheel_truing"), "unload", "clean_and_rosin", "acclimatise", "measure_again",
        "seat_and_bearing", "as_found", "consent", "jig", "turn", "polish", "measure_after",
        "rosin", "set_pressures",
    )  # fmt: skip
    assert truing["reversibility"]["grade"] == "irreversible"
    assert truing["touches"] == ["rim"]
    assert "in the playing direction" in said(truing)
    assert "sandpaper follows the error and is not used" in said(truing)


@pytest.mark.parametrize("key", ["crack_reglue", "splint"])
def test_a_crack_is_glued_at_the_humidity_of_its_home(key: str) -> None:
    """Sequence and cleats: trade notes 9; spacing and size are common practice."""
    assert in_order(steps(key), "unload", "acclimatise", "measure", "glue", "glue_cleats", "load")
    assert "grain across the crack" in said(BY_KEY[key])
    assert "climate" in BY_KEY[key]["asks"]
    assert wanted(key, "after") == {"crack_joint": ["left_mm"]}


def test_a_varnished_instrument_is_frozen_only_on_advice_and_thaws_closed() -> None:
    """Temperatures and days: trade notes 9."""
    text = said(BY_KEY["worm_treatment"])

    assert in_order(steps("worm_treatment"), "residue", "advice", "wrap", "freeze", "thaw", "clean")
    assert "ask a conservator before a glued and varnished instrument is frozen" in text
    assert "−30\u00a0°C for 3 to 4 days" in text
    assert "closed wrapping" in text
    assert {"cold", "pesticide"} <= set(BY_KEY["worm_treatment"]["cautions"])


def test_a_set_up_has_the_sixteen_steps_in_order() -> None:
    assert steps("full_setup") == SIXTEEN
    assert len(SIXTEEN) == 16


@pytest.mark.parametrize(
    "key",
    ["axle_bush", "key_replacement", "tangent_refit", "bridge_fitting", "dog_plate", "peg_bushing"],
)
def test_a_part_that_is_taken_off_is_bagged(key: str) -> None:
    assert re.search(r"\bbag(ged)?\b", said(BY_KEY[key]))


@EVERY
def test_irreversible_work_touches_what_is_on_record_or_says_why(one: dict[str, Any]) -> None:
    if one["reversibility"]["grade"] == "irreversible":
        says = one["reversibility"]["words"]
        assert one["touches"] or ("because" in says["en"] and "car " in says["fr"])


@EVERY
def test_what_touches_an_old_part_is_photographed_before_and_after(one: dict[str, Any]) -> None:
    if one["touches"]:
        assert {"before", "after"} <= set(one["photos"])
