"""How likely a value is: areas of one, widening by u, words, and draws that come back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.causes.density import STRAY, density, draw

SPECS = [
    ["rayleigh", 0.01],
    ["normal", 1.5, 0.2],
    ["lognormal", 1.35, 0.2],
    ["logeven", 0.03, 0.3],
    ["even", 2.0, 4.0],
    ["mixture", [0.3, ["even", 0.0, 1.0]], [0.7, ["normal", 3.0, 0.5]]],
]


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec[0])
@pytest.mark.parametrize("u", [0.0, 0.02])
def test_every_spread_has_an_area_of_one_with_and_without_u(spec, u):
    x = np.linspace(-1.0, 8.0, 9001)

    area = sum(density(spec, v, u, 1e9) for v in x) * (x[1] - x[0])

    assert area == pytest.approx(1.0, abs=0.02)


def test_values_by_hand():
    assert density(["rayleigh", 0.01], 0.01, 0.0, 1e9) == pytest.approx(
        100 * math.exp(-0.5), rel=1e-3
    )
    assert density(["logeven", 0.03, 0.3], 0.1, 0.0, 1e9) == pytest.approx(
        1 / (0.1 * math.log(10)), rel=1e-3
    )
    assert density(["normal", 0.0, 3.0], 0.0, 4.0, 1e9) == pytest.approx(
        1 / (5 * math.sqrt(2 * math.pi)), rel=5e-3
    )
    assert density(["words", {"late": 0.6}], "late", 0.0, 4) == pytest.approx(0.6, abs=1e-3)


def test_a_value_that_nobody_foresaw_is_stray_and_outweighs_no_more_than_that():
    assert density(["even", 2.0, 4.0], 5.0, 0.0, 10.0) == pytest.approx(STRAY / 10)
    assert density(["even", 2.0, 4.0], 4.05, 0.1, 10.0) > 0.1
    assert density(["words", {"late": 0.6}], "never seen", 0.0, 4) == pytest.approx(STRAY / 4)
    with pytest.raises(GaugeInputError, match="zigzag"):
        density(["zigzag", 1], 1.0)


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec[0])
def test_drawn_values_have_the_density_that_is_stated(spec):
    drawn = np.array([float(draw(spec, (k + 0.5) / 2000)) for k in range(2000)])
    middle = float(np.median(drawn))

    near = np.abs(drawn - middle) < 0.05 * drawn.std()
    stated = density(spec, middle, 0.0, 1e9)

    assert near.mean() / (0.1 * drawn.std()) == pytest.approx(stated, rel=0.15, abs=0.02)
