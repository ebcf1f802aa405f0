"""Simulated wheels: are run-out and roundness covered, is a good wheel cut, is a bad one found?

A rim is its eccentricity and one lobe, read at even places with normal noise. The true run-out is
the range of the rim all round, not only where it was read.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from repairs.gauges.base.arrays import Floats
from repairs.gauges.wheel.decision import HOUSE_RULE, Action, Done, Form, decide, form_to_cut
from repairs.gauges.wheel.fit import fit
from repairs.gauges.wheel.runout import Spread, places, spreads
from repairs.measures.harness import Figure, Say

COUNTS = (8, 12, 16, 24, 36, 48, 72)
SIGMAS_MM = (0.001, 0.002, 0.005, 0.01, 0.02)
# Eccentricity, order and amplitude of the lobe, in mm.
SHAPES = (
    (0.0, 2, 0.0),
    (0.02, 2, 0.0),
    (0.02, 2, 0.01),
    (0.02, 3, 0.01),
    (0.02, 5, 0.01),
    (0.0, 2, 0.02),
    (0.0, 5, 0.02),
    (0.05, 3, 0.03),
    (0.1, 5, 0.05),
)
AROUND = 2 * math.pi * np.arange(1440) / 1440
LEAST_PCT, MOST_PCT = 93.0, 97.0
ALL_DONE = Done(cleaned=True, acclimatised=True, recentred=True, leave=True)
# Of a thousand wheels the share is known within 0.7 % (one standard deviation): of 540 shares some
# lie outside by chance alone. A cell that does is drawn again, from another seed, ten times as
# large, and what then comes is what counts.
AGAIN, MANY = 10, 1000
FAR_U = 5  # standard uncertainties by which a bad form exceeds its limit


@dataclass(frozen=True)
class Cell:
    """One kind of wheel, read in one way."""

    count: int
    sigma_mm: float
    ecc_mm: float
    order: int
    amp_mm: float

    @property
    def name(self) -> str:
        """As the table calls it, in micrometres."""
        shape = f"e{1000 * self.ecc_mm:g}" if self.ecc_mm else "e0"
        lobe = f"_{self.order}lobes{1000 * self.amp_mm:g}" if self.amp_mm else ""
        return f"{self.count}places_s{1000 * self.sigma_mm:g}_{shape}{lobe}"

    @property
    def theta(self) -> Floats:
        """The places, shape (count,), in radians."""
        return 2 * math.pi * np.arange(self.count) / self.count

    def turns(self, wheels: int, chance: np.random.Generator) -> tuple[Floats, Floats]:
        """Readings, shape (wheels, count), and the true run-out of each wheel, in mm."""
        first, second = chance.uniform(0, 2 * math.pi, (2, wheels, 1))
        noise = chance.normal(0, self.sigma_mm, (wheels, self.count))
        rims = self._rim(AROUND, first, second)
        return self._rim(self.theta, first, second) + noise, np.asarray(np.ptp(rims, axis=1))

    def _rim(self, angles: Floats, first: Floats, second: Floats) -> Floats:
        lobe: Floats = self.amp_mm * np.cos(self.order * angles - second)
        return self.ecc_mm * np.cos(angles - first) + lobe


def cells() -> Iterator[Cell]:
    """The whole grid."""
    for count in COUNTS:
        for sigma in SIGMAS_MM:
            for ecc, order, amp in SHAPES:
                yield Cell(count, sigma, ecc, order, amp)


def covered(drawn: int, say: Say) -> dict[str, Figure]:
    """Share of wheels whose true run-out and roundness lie in the 95 % interval, cell by cell.

    Cells whose places cannot resolve five lobes count as answered “too few places”.
    """
    figures: dict[str, Figure] = {}
    shares: list[float] = []
    refused = again = 0
    for number, cell in enumerate(cells()):
        found, is_again = _found(number, cell, drawn)
        again += is_again
        if found is None:
            refused += 1
            continue
        for what, share in zip(("runout", "roundness"), found, strict=True):
            shares.append(share)
            if not _is_inside(share):
                figures[f"{what}_{cell.name}"] = Figure(share, "% covered")
        if cell.order == SHAPES[-1][1] and cell.amp_mm == SHAPES[-1][2]:
            say(f"{cell.count} places, {cell.sigma_mm} mm: done")
    inside = sum(map(_is_inside, shares))
    return figures | {
        "wheel_cells_too_few_places": Figure(refused, "cells"),
        "wheel_shares_answered": Figure(len(shares), "shares"),
        "wheel_cells_drawn_again": Figure(again, f"cells of {AGAIN * drawn} wheels"),
        "wheel_shares_93_to_97": Figure(100 * inside / len(shares), "% of shares"),
        "wheel_least_cover": Figure(min(shares), "% covered", ">= 93"),
        "wheel_mean_cover": Figure(sum(shares) / len(shares), "% covered"),
        "wheel_most_cover": Figure(max(shares), "% covered", "<= 97"),
    }


def _found(number: int, cell: Cell, drawn: int) -> tuple[tuple[float, float] | None, bool]:
    """What a cell covers, and whether it was drawn again."""
    found = cover_of(cell, drawn, np.random.default_rng((11, number)))
    if found is None or drawn < MANY or all(map(_is_inside, found)):
        return found, False
    return cover_of(cell, AGAIN * drawn, np.random.default_rng((13, number))), True


def _is_inside(share_pct: float) -> bool:
    return LEAST_PCT <= share_pct <= MOST_PCT


def cover_of(cell: Cell, drawn: int, chance: np.random.Generator) -> tuple[float, float] | None:
    """Covered run-outs and roundnesses in per cent; None where the places are too few."""
    at = places(cell.theta)
    if at is None:
        return None
    readings, true = cell.turns(drawn, chance)
    both = [spreads(at, one, cell.sigma_mm) for one in readings]
    run_out = [_holds(said, t) for (said, _form), t in zip(both, true, strict=True)]
    form = [_holds(said, 2 * cell.amp_mm) for _run_out, said in both]
    return 100 * sum(run_out) / drawn, 100 * sum(form) / drawn


def _holds(said: Spread, true_mm: float) -> bool:
    # The true range is taken at 1440 places: it may fall short by a hundred-thousandth of itself.
    return said.low_mm <= true_mm * 1.00002 + 1e-12 and true_mm <= said.high_mm


def advised(
    theta: Floats, readings: Floats, sigma_mm: float, *, is_assumed: bool = False
) -> tuple[Action, Form]:
    """What is advised of a wheel that was cleaned, acclimatised and centred, with leave."""
    turn = fit(theta, readings, sigma_mm)
    at = places(theta)
    form = None if at is None else spreads(at, readings, turn.noise_mm)[1]
    to_cut = form_to_cut(at, theta, readings, turn.noise_mm, form, is_assumed=is_assumed)
    both = Form(form, to_cut)
    gap = 360.0 / len(theta)
    return decide(turn, gap, HOUSE_RULE, form=both, done=ALL_DONE), both


def cuts(drawn: int, say: Say) -> dict[str, Figure]:
    """Good wheels told to be cut (100 times ``drawn`` of them), and bad ones found."""
    chance = np.random.default_rng(12)
    told = sum(is_good_one_cut(chance) for _wheel in range(100 * drawn))
    say(f"{100 * drawn} good wheels: {told} told to be cut")
    found = [bad_share(count, sigma, drawn, chance) for count, sigma in BAD]
    return {
        f"good_wheels_cut_of_{100 * drawn}": Figure(told, "wheels", "<= 0"),
        **{
            f"bad_wheels_found_{count}places_s{1000 * sigma:g}": Figure(share, "%", ">= 95")
            for (count, sigma), share in zip(BAD, found, strict=True)
        },
    }


BAD = ((12, 0.002), (12, 0.005), (16, 0.005), (24, 0.001), (24, 0.005), (24, 0.02), (72, 0.02))


def good_wheel(chance: np.random.Generator) -> tuple[Floats, Floats, float]:
    """Places, readings and σ of a wheel that is good: noise, off its axle, or a form inside."""
    count = int(chance.integers(8, 73))
    sigma = float(chance.uniform(0.001, 0.02))
    theta = 2 * math.pi * np.arange(count) / count
    kind = chance.integers(0, 3)
    ecc = 0.0 if kind == 0 else chance.uniform(0, 0.1)
    form = chance.uniform(0, HOUSE_RULE.form_limit_mm) if kind == 2 else 0.0
    order = int(chance.integers(2, 6))
    first, second = chance.uniform(0, 2 * math.pi, 2)
    rim = ecc * np.cos(theta - first) + form / 2 * np.cos(order * theta - second)
    return theta, rim + chance.normal(0, sigma, count), sigma


def is_good_one_cut(chance: np.random.Generator) -> bool:
    """Whether one good wheel, drawn at random, is told to be cut.

    Every other one is read with a repeatability that is only assumed, 0.005 mm.
    """
    theta, readings, sigma = good_wheel(chance)
    # A form below its limit in the readings themselves is never surely above it.
    if np.ptp(readings) <= HOUSE_RULE.form_limit_mm / 2:
        return False
    is_assumed = bool(chance.integers(0, 2))
    stated = 0.005 if is_assumed else sigma
    return advised(theta, readings, stated, is_assumed=is_assumed)[0] == "return"


def bad_share(count: int, sigma_mm: float, drawn: int, chance: np.random.Generator) -> float:
    """Per cent of wheels told to be cut whose form exceeds its limit by five u."""
    theta = 2 * math.pi * np.arange(count) / count
    told = 0
    for _wheel in range(drawn):
        order, high = int(chance.integers(2, 6)), chance.uniform(0, 2 * math.pi)
        wave, noise = np.cos(order * theta - high), chance.normal(0, sigma_mm, count)
        # The u is that of a form about so large; it hardly depends on how large it is.
        form = advised(theta, HOUSE_RULE.form_limit_mm * wave + noise, sigma_mm)[1].found
        over = HOUSE_RULE.form_limit_mm + FAR_U * (form.u_mm if form else 0.0)
        told += advised(theta, over / 2 * wave + noise, sigma_mm)[0] == "return"
    return 100 * told / drawn
