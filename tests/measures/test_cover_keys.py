"""The table of simulated keyboards: every truth has its rows, and the faults are as told."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from repairs.gauges.keys.temperament import TEMPERAMENTS
from repairs.measures import cover_keys
from repairs.measures.cover_keys import TRUTHS, Truth


def test_a_quick_table_has_every_truth_and_its_goals():
    said: list[str] = []

    table = cover_keys.keyboards(6, said.append)

    assert len(said) == len(TRUTHS)
    assert {name for name in table if name.endswith(": right")} == {
        f"keys, {name}: right" for name in TRUTHS
    }
    cover = [figure.goal for name, figure in table.items() if name.endswith("cell")]
    assert cover == [">= 93", "<= 97"]
    assert all(figure.goal for name, figure in table.items() if name.endswith(": right"))


def test_a_quick_table_of_temperaments_moves_none_unasked():
    said: list[str] = []

    table = cover_keys.temperaments(8, said.append)

    assert len(said) == len(TEMPERAMENTS)
    assert {(figure.value, figure.goal) for figure in table.values()} == {(0, "<= 0")}


def test_a_keyboard_is_off_by_what_geometry_says():
    class Still(np.random.Generator):
        """Draws nothing: what is left is the fault itself."""

        def normal(self, *_args, size=None, **_more):
            return 0.0

    still = Still(np.random.PCG64(1))

    # A bridge 2 mm too far out: 347·r/(345 + 2·r); at the octave 9.9496 cents flat.
    off = cover_keys.keyboard(still, Truth(bridge_mm=2.0))
    assert off[11] == pytest.approx(1190.0504 - 1200.0, abs=1e-3)
    # A nut 1 mm near: all 5.0254 flat.
    assert cover_keys.keyboard(still, Truth(nut_mm=1.0)) == pytest.approx([-5.0254] * 23, abs=1e-3)
    # Pressed: 4 units at the octave.
    assert cover_keys.keyboard(still, Truth(pressed=0.5))[11] == pytest.approx(2.0)


def test_no_figure_is_no_cover_and_a_wide_one_is():
    truth = TRUTHS["bridge 1.5 mm out"]
    (fit,) = cover_keys.fits(truth, 1, seed=1)

    assert cover_keys.covers(dataclasses.replace(fit, bridge_mm=None), truth) is None
    assert (
        cover_keys.covers(dataclasses.replace(fit, bridge_mm=9.0, u_bridge_mm=0.1), truth) is False
    )
    assert cover_keys.covers(dataclasses.replace(fit, bridge_mm=1.5), truth) is True
    assert cover_keys.is_right(fit, truth)
    assert not cover_keys.is_right(fit, Truth())
