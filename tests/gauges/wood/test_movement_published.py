"""Movement of wood against published rows and coefficients."""

import json
from pathlib import Path

import pytest

from repairs.gauges.wood.closing import Air, crack_closing
from repairs.gauges.wood.movement import linear_change_mm, shrinkage_change_mm
from repairs.gauges.wood.species import (
    Grain,
    coefficient_from_shrinkage,
    grain,
    shrinkage_from_coefficient,
)

ROWS = json.loads((Path(__file__).parent / "published_movement.json").read_text("utf-8"))


def rows(subject):
    return [
        pytest.param(r, id=f"{r['source'][:40]}-{r['inputs']}")
        for r in ROWS
        if r["subject"] == subject
    ]


def typed(c):
    return Grain(c, shrinkage_from_coefficient(c), 0.15, "typed", False)


@pytest.mark.parametrize(
    "row", rows("wood.dimchange.coefficient") + rows("wood.dimchange.coefficient.derived")
)
def test_the_relation_gives_the_published_coefficients(row):
    got = coefficient_from_shrinkage(row["inputs"]["S_pct"])

    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("wood.dimchange.example"))
def test_the_worked_example_of_the_handbook(row):
    given_ = row["inputs"]
    size = given_.get("D_mm", given_.get("D_in"))

    got = linear_change_mm(size, given_["C"], given_["MI"], given_["MF"])

    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("wood.dimchange.green"))
def test_the_shrinkage_form(row):
    given_ = row["inputs"]

    got = shrinkage_change_mm(given_["D_mm"], given_["S_pct"], given_["MI"], given_["MF"])

    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("wood.crack.closing"))
def test_crack_closing_is_that_of_the_published_values(row):
    given_ = row["inputs"]
    air = Air(given_["T_C"], given_["RH1"], given_["T_C"], given_["RH2"])

    got = crack_closing(given_["width_mm"], typed(given_["C"]), air)

    assert got.closing_mm == pytest.approx(row["expected"], abs=row["tolerance"])


# Species


def test_every_published_species_has_the_coefficients_of_the_table():
    names = {"cherry, black": "black_cherry", "spruce, Sitka": "sitka_spruce",
             "maple, sugar": "sugar_maple", "walnut, black": "black_walnut",
             "beech, American": "american_beech", "ash, white": "white_ash",
             "spruce, Engelmann": "engelmann_spruce", "spruce, red": "red_spruce",
             "elm, American": "american_elm", "chestnut, American": "chestnut",
             "basswood, American": "basswood", "birch, yellow": "yellow_birch"}  # fmt: skip
    seen = 0
    for row in ROWS:
        name = names.get(row["inputs"].get("species", ""))
        if name:
            way = {"R": "radial", "T": "tangential"}[row["inputs"]["direction"]]
            assert grain(name, way).c_per_pct == pytest.approx(row["expected"], abs=6e-6)
            assert grain(name, way).from_memory == row["from_memory"]
            seen += 1
    assert seen == 24
