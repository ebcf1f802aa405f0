"""What to look at next, what speaks for and against, and counts of closed cases: by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from repairs.gauges.causes.counts import Counts, Practice, sharpened
from repairs.gauges.causes.density import density
from repairs.gauges.causes.look import best_looks, check_look, sheet_look
from repairs.gauges.causes.net import Case, Past, Value, build
from repairs.gauges.causes.posterior import posterior
from repairs.gauges.causes.reasons import contradictions, reasons
from repairs.gauges.causes.table import Table, read_table


def table() -> Table:
    """Two causes of one symptom, told apart by one figure; a third of a symptom of its own."""

    def cause(key: str, prior: float, minutes: float = 5, **more: object) -> dict[str, object]:
        said = {"symptoms": {"swells": 0.9}, "readings": {}, "findings": [], "history": []}
        return {"key": key, "prior_pct": prior, "minutes": minutes, **said, **more}

    return read_table(
        {
            "model": {"leak": 0.01, "sensitivity": 0.9, "specificity": 0.95},
            "symptoms": [{"key": "swells"}, {"key": "ticks"}],
            "figures": [
                {"key": "ecc", "gauge": "wheel", "healthy": ["rayleigh", 0.01], "span": 0.4}
            ],
            "looks": [{"gauge": "wheel", "minutes": 15}],
            "causes": [
                cause("off", 5, 15, readings={"ecc": ["logeven", 0.03, 0.3]}, check_by="wheel"),
                cause("hand", 5, 3, findings=[{"term": "crack", "parts": ["hub"], "times": 3}],
                      history=[{"what": "strings", "times": 2, "over_days": 500}]),
                cause("lip", 2, 6, symptoms={"ticks": 0.9}),
            ],
        }
    )  # fmt: skip


HEARD = Case(heard=frozenset({"swells"}))


def test_a_check_is_worth_its_information_by_hand():
    known = table()
    p, hit, miss = 0.4, 0.9, 0.05

    look = check_look(known, known.cause("hand"), p)

    yes = p * hit + (1 - p) * miss

    def h(x: float) -> float:
        return -x * math.log2(x) - (1 - x) * math.log2(1 - x)

    assert look.bits == pytest.approx(h(yes) - p * h(hit) - (1 - p) * h(miss))
    assert look.if_so == pytest.approx(0.36 / 0.39)
    assert look.if_not == pytest.approx(0.04 / 0.61)
    assert look.worth == pytest.approx(look.bits / 3)


def test_the_look_that_tells_two_causes_apart_is_named_and_never_taken_twice():
    known = table()
    net = build(known, HEARD)
    found = posterior(net, complaint=True)

    looks = {(one.kind, one.key): one for one in best_looks(known, net, found, taken=())}
    again = best_looks(known, net, found, taken={"wheel"})

    wheel = looks["reading", "wheel"]
    assert 0.5 < wheel.bits < 1.2 and wheel.cause in ("off", "hand")
    assert wheel.if_so > 0.9 and wheel.if_not < 0.1
    assert ("check", "off") not in looks and ("check", "lip") not in looks
    assert {one.kind for one in again} == {"check", "symptom"}
    assert [one.worth for one in again] == sorted((one.worth for one in again), reverse=True)


def test_a_look_lets_the_mean_of_what_may_come_be_what_is_now():
    known = table()
    net = build(known, HEARD)
    found = posterior(net, complaint=True)

    for look in best_looks(known, net, found, taken=()):
        if look.kind != "reading":
            yes = look.now * 0.9 + (1 - look.now) * 0.05
            if look.kind == "symptom":  # by the lip in nine of ten, or by the leak
                yes = 1 - 0.99 * (1 - 0.9 * look.now)
            assert yes * look.if_so + (1 - yes) * look.if_not == pytest.approx(look.now)
        assert look.if_not < look.now < look.if_so


def test_a_sheet_tells_what_its_figures_tell_together():
    """By adding up over a fine grid of values, for one figure and for two that are read at once."""
    one = table()
    two = replace(one, figures={**one.figures, "rep": one.figures["ecc"]})
    causes = [replace(c, readings={**c.readings, "rep": ["rayleigh", 0.03]})
              if c.key == "hand" else c for c in two.causes]  # fmt: skip
    two = replace(two, causes=tuple(causes))

    def told(known: Table) -> tuple[float, float]:
        net = build(known, HEARD)
        found = posterior(net, complaint=True)
        held = [{net.keys[i] for i in row if i >= 0} for row in found.sets[:250]]
        shares = found.shares[:250] / found.shares[:250].sum()
        grid = np.geomspace(1e-4, 0.5, 240)
        dense = np.ones((len(held), 1, 1))
        for axis, key in enumerate(known.figures):
            figure = known.figures[key]
            rows = [
                [max([density(c.readings[key], v, 0, figure.span) for c in known.causes
                      if c.key in there and key in c.readings]
                     or [density(figure.healthy, v, 0, figure.span)]) for v in grid]
                for there in held
            ]  # fmt: skip
            of = np.array(rows) * np.gradient(grid)
            of /= of.sum(axis=1, keepdims=True)
            dense = dense * (of[:, :, None] if axis == 0 else of[:, None, :])
        joint = shares[:, None, None] * dense
        both = joint.sum(axis=0)
        kept = joint > 0
        ratio = np.where(kept, dense / np.maximum(both, 1e-300), 1.0)
        return float((joint * np.log2(ratio)).sum()), sheet_look(known, net, found, "wheel").bits

    known, drawn = told(one)
    assert drawn == pytest.approx(known, rel=0.08)
    more, drawn_more = told(two)
    assert drawn_more == pytest.approx(more, rel=0.08) and more > known + 0.1


def test_reasons_are_factors_by_hand_and_the_strongest_comes_first():
    known = table()
    case = Case(
        heard=frozenset({"swells"}),
        denied=frozenset({"ticks"}),
        values=(Value("ecc", 0.1, 0.001),),
        findings=frozenset({"crack", "crack@hub"}),
        past=(Past("strings", 700.0),),
    )
    net = build(known, case)

    off, hand, lip = (reasons(known, one, case, net) for one in known.causes)

    assert [(one.kind, one.what) for one in off] == [("reading", "ecc"), ("heard", "swells")]
    assert off[1].times == pytest.approx((1 - 0.99 * 0.1) / 0.01)
    assert off[0].times > 1000
    assert [(one.kind, round(one.times)) for one in hand] == [
        ("heard", 90), ("finding", 3), ("history", 2),
    ]  # fmt: skip
    assert [one.kind for one in lip] == ["denied"]
    assert lip[0].times == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("findings", "past", "counted"),
    [
        ({"crack"}, (), []),
        ({"crack", "crack@neck"}, (), []),
        ({"crack", "crack@hub"}, (), ["crack"]),
        (set(), (Past("strings", 400.0),), []),
        (set(), (Past("strings", None),), []),
        (set(), (Past("strings", 501.0),), ["strings"]),
    ],
)
def test_a_finding_counts_on_its_part_and_history_when_its_time_fits(findings, past, counted):
    known = table()
    case = Case(heard=frozenset({"swells"}), findings=frozenset(findings), past=past)

    found = reasons(known, known.cause("hand"), case, build(known, case))

    assert [one.what for one in found if one.kind != "heard"] == counted


def test_what_does_not_go_together_is_said():
    known = table()

    def said(case: Case) -> list[tuple[str, str, str]]:
        net = build(known, case)
        rows = contradictions(known, case, net, posterior(net, complaint=bool(case.heard)))
        return [(one.kind, one.what, one.cause) for one in rows]

    off = Value("ecc", 0.1, 0.001)
    assert said(HEARD) == []
    assert said(Case(denied=frozenset({"swells"}), values=(off,))) == [("silent", "swells", "off")]
    assert said(Case(heard=frozenset({"swells"}), values=(Value("ecc", 3.0),))) == [
        ("stray", "ecc", "")
    ]
    often = tuple((key, Counts(200, 4000)) for key in ("off", "hand"))
    rare = sharpened(known, Practice(4000, (*often, ("lip", Counts(0, 4000)))))
    case = Case(heard=frozenset({"swells", "ticks"}))
    net = build(rare, case)
    rows = contradictions(rare, case, net, posterior(net, complaint=True))
    assert [(one.kind, one.what) for one in rows] == [("unexplained", "ticks")]


def test_one_string_that_reads_well_does_not_excuse_another():
    known = table()
    low, high = Value("ecc", 0.1, 0.001, "first"), Value("ecc", 0.012, 0.001, "second")

    def p(*values: Value) -> float:
        return float(posterior(build(known, Case(values=values)), complaint=False).p[0])

    assert p(low, high) > 0.9 > 0.05 > p(high, high)


def test_a_check_that_was_made_moves_its_cause_as_far_as_the_look_foretold():
    known = table()
    before = posterior(build(known, HEARD), complaint=False)
    look = check_look(known, known.cause("hand"), float(before.p[1]))

    def after(*, found: bool) -> tuple[float, Case]:
        case = replace(HEARD, looked={"hand": found})
        return float(posterior(build(known, case), complaint=False).p[1]), case

    so, case = after(found=True)
    not_so, _case = after(found=False)

    assert so == pytest.approx(look.if_so, abs=2e-3)
    assert not_so == pytest.approx(look.if_not, abs=2e-3)
    said = reasons(known, known.cause("hand"), case, build(known, case))
    assert [one.times for one in said if one.kind == "check"] == [pytest.approx(0.9 / 0.05)]
    net = build(known, case)
    looks = best_looks(known, net, posterior(net, complaint=True), taken=case.looked)
    assert ("check", "hand") not in {(one.kind, one.key) for one in looks}
