"""The procedures as delivered: which readings they want, and what must be on record as found."""

from __future__ import annotations

from typing import Any

import pytest

from repairs.readings.sheets.catalogue import SHEETS
from tests.procedures.delivered import (
    BY_KEY,
    EVERY,
    KINDS,
    TOUCHES,
    load,
    sheets_of,
    steps,
    wanted,
    words,
)

# Readings


@EVERY
def test_gauges_and_figures_are_known_to_their_sheets(one: dict[str, Any]) -> None:
    for row in one["readings"]:
        assert set(row) == {"gauge", "phase", "figures", "limits"}
        assert row["gauge"] in SHEETS and row["phase"] in {"before", "after"}
        assert set(row["figures"]) <= set(SHEETS[row["gauge"]].limits), row
    asked = [(row["phase"], row["gauge"]) for row in one["readings"]]
    assert len(asked) == len(set(asked))


@EVERY
def test_what_is_held_to_a_limit_can_be_judged(one: dict[str, Any]) -> None:
    for row in one["readings"]:
        own = {limit["figure"] for limit in row["limits"]}
        for figure in set(row["figures"]) - own:
            _label, limit = SHEETS[row["gauge"]].limits[figure]
            assert not limit.is_open, figure


@EVERY
def test_a_reading_before_the_work_is_held_to_nothing(one: dict[str, Any]) -> None:
    """What is to be mended may lie outside: the reading has to be on record, no more."""
    for row in one["readings"]:
        if row["phase"] == "before":
            assert row["figures"] == [] and row["limits"] == []


@EVERY
def test_limits_of_a_procedure_are_in_order_with_unit_and_source(one: dict[str, Any]) -> None:
    for row in one["readings"]:
        for limit in row["limits"]:
            assert list(limit) == ["figure", "lower", "upper", "unit", "source"]
            ends = [end for end in (limit["lower"], limit["upper"]) if end is not None]
            assert ends and ends == sorted(ends)
            assert limit["source"].strip()
            assert limit["figure"] in row["figures"]
            _label, usual = SHEETS[row["gauge"]].limits[limit["figure"]]
            assert limit["unit"] == usual.unit
            assert (limit["lower"], limit["upper"]) != (usual.lower, usual.upper)


@EVERY
def test_every_reading_fits_a_kind_that_the_procedure_is_for(one: dict[str, Any]) -> None:
    fitting = [kind for kind in KINDS if set(one["families"]) & set(kind["families"])]
    for row in one["readings"] if one["families"] else ():
        assert all(row["gauge"] in sheets_of(kind) for kind in fitting), row


def test_a_trued_wheel_is_measured_before_and_after_and_its_pressures_set_again() -> None:
    assert wanted("wheel_truing", "before") == {"wheel": []}
    assert wanted("wheel_truing", "after") == {
        "wheel": ["tir_mm", "ecc_mm", "oval_amp_mm", "lsc_roundness_mm"],
        "voicing_card": [],
    }
    assert wanted("wheel_recentring", "after") == {"wheel": ["ecc_mm", "axial_runout_mm"]}


def test_a_set_up_is_proved_by_five_readings_and_bears_a_run_out_that_is_only_watched() -> None:
    """Common practice: up to 0.10 mm a wheel is watched, above it is trued (trade notes 4)."""
    own = [limit for row in BY_KEY["full_setup"]["readings"] for limit in row["limits"]]

    assert list(wanted("full_setup", "after")) == words(
        "wheel correction action string_set voicing_card"
    )
    assert [(limit["figure"], limit["upper"]) for limit in own] == [("tir_mm", 0.1)]


@pytest.mark.parametrize("key", ["free", "small_job"])
def test_free_and_small_work_asks_for_no_reading_and_no_photo(key: str) -> None:
    one = BY_KEY[key]

    assert (
        one["readings"] == one["photos"] == one["asks"] == one["touches"] == one["families"] == []
    )
    assert steps("free") == ["done"]


# As found


def parts_of(kind: dict[str, Any]) -> set[str]:
    found: set[str] = set()
    nodes = list(kind["parts"])
    while nodes:
        node = nodes.pop()
        found.add(node["key"])
        nodes += node["children"]
    return found


def test_what_is_recorded_as_found_exists_in_the_kinds() -> None:
    as_found = load("vocabulary/as_found.json")
    known = set().union(*(parts_of(kind) for kind in KINDS))

    assert set(as_found) == TOUCHES
    assert as_found["tangents"]["readings"] == ["correction", "action"]
    for key, wants in as_found.items():
        assert list(wants) == ["label", "parts", "readings", "views"]
        assert wants["parts"] and set(wants["parts"]) <= known, key
        assert set(wants["readings"]) <= set(SHEETS)
        for kind in KINDS:
            if parts_of(kind) & set(wants["parts"]):
                assert set(wants["views"]) <= {view["slug"] for view in kind["views"]}, key


@pytest.mark.parametrize(
    ("slug", "expected"),
    [
        ("vielle_french", TOUCHES),
        ("vielle_lute", TOUCHES),
        ("nyckelharpa", {"tangents", "bridge", "finish"}),
        ("violin", {"bridge", "finish"}),
        ("guitar", {"bridge", "finish"}),
    ],
)
def test_each_kind_has_the_parts_that_need_a_record(slug: str, expected: set[str]) -> None:
    found = parts_of(load(f"kinds/{slug}.json"))
    as_found = load("vocabulary/as_found.json")

    assert {key for key, wants in as_found.items() if found & set(wants["parts"])} == expected
