"""Heard again with a cause put out of the way, and symptoms asked next: by going through everything
that may be, made or not made by each cause and by nothing listed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from repairs.gauges.causes.again import MISHEARD, answer_p
from repairs.gauges.causes.hear import asked, likely, put_away
from repairs.gauges.causes.look import best_looks
from repairs.gauges.causes.net import Case, build
from repairs.gauges.causes.posterior import posterior
from repairs.gauges.causes.reasons import reasons
from repairs.gauges.causes.table import Table, read_table

LEAK = 0.02
PRIORS = {"cover": 0.1, "slot": 0.15, "oil": 0.05}
MAKES = {
    "rub": {"cover": 0.6, "slot": 0.9},
    "tick": {"cover": 0.4, "oil": 0.7},
    "hum": {"oil": 0.8},
}
UNDONE = {"cover": {"rub": True, "tick": False}, "slot": {"rub": False}}
World = tuple[frozenset[str], dict[str, frozenset[str]], float]


def table() -> Table:
    """Three causes of three symptoms, two of which can be put out of the way."""
    causes: list[dict[str, Any]] = [
        {
            "key": key, "prior_pct": 100 * p, "minutes": 5, "readings": {}, "findings": [],
            "history": [], "undo_minutes": 0 if key == "oil" else 2,
            "symptoms": {s: row[key] for s, row in MAKES.items() if key in row},
        }
        for key, p in PRIORS.items()
    ]  # fmt: skip
    return read_table(
        {
            "model": {"leak": LEAK, "sensitivity": 0.9, "specificity": 0.95},
            "symptoms": [{"key": key} for key in MAKES],
            "figures": [], "looks": [], "causes": causes,
        }
    )  # fmt: skip


def worlds() -> Iterator[World]:
    """Each set of causes, with all that may make each symptom (“” is nothing listed), and its P;
    somebody complained, so that one cause at least is there."""
    for on in itertools.product([False, True], repeat=len(PRIORS)):
        there = frozenset(key for key, is_on in zip(PRIORS, on, strict=True) if is_on)
        if not there:
            continue
        p = math.prod(PRIORS[k] if k in there else 1 - PRIORS[k] for k in PRIORS)
        ways = [_ways(symptom, there) for symptom in MAKES]
        for one in itertools.product(*ways):
            yield (
                there,
                dict(zip(MAKES, [by for by, _p in one], strict=True)),
                p * math.prod(share for _by, share in one),
            )


def _ways(symptom: str, there: frozenset[str]) -> list[tuple[frozenset[str], float]]:
    chances = {"": LEAK, **{k: p for k, p in MAKES[symptom].items() if k in there}}
    return [
        (
            frozenset(k for k, is_on in zip(chances, on, strict=True) if is_on),
            math.prod(p if is_on else 1 - p for p, is_on in zip(chances.values(), on, strict=True)),
        )
        for on in itertools.product([False, True], repeat=len(chances))
    ]


def weight(world: World, case: Case) -> float:
    """P of a world and of all that is said of it."""
    _there, made, p = world
    if any(not made[s] for s in case.heard) or any(made[s] for s in case.denied):
        return 0.0
    for cause, answers in case.undone.items():
        for symptom, stays in answers.items():
            p *= answer_p(stays, truly=bool(made[symptom] - {cause}))
    return p


def by_all_worlds(case: Case) -> dict[str, float]:
    """P of each cause."""
    rows = [(world, weight(world, case)) for world in worlds()]
    total = sum(p for _world, p in rows)
    return {key: sum(p for world, p in rows if key in world[0]) / total for key in PRIORS}


CASES = [
    Case(frozenset({"rub", "tick"}), undone=UNDONE),
    Case(frozenset({"rub", "tick"}), undone={"cover": {"rub": True, "tick": True}}),
    Case(frozenset({"rub"}), frozenset({"hum"}),
         undone={"cover": {"rub": True}, "slot": {"rub": True}}),
    Case(frozenset({"rub", "tick"}), undone={"slot": {"rub": False}}),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_what_is_heard_again_weighs_as_all_that_may_be(case):
    net = build(table(), case)

    found = posterior(net, complaint=True)

    wanted = by_all_worlds(case)
    assert dict(zip(net.keys, found.p, strict=True)) == pytest.approx(wanted, abs=1e-9)


def test_a_noise_that_stays_without_one_cause_brings_in_another_and_one_that_goes_settles_it():
    heard = Case(frozenset({"rub"}))
    stays = replace(heard, undone={"cover": {"rub": True}})
    gone = replace(heard, undone={"cover": {"rub": False}})
    first, then, settled = (by_all_worlds(case) for case in (heard, stays, gone))

    assert then["slot"] > first["slot"] > settled["slot"]
    assert settled["cover"] > 0.85 > first["cover"] > then["cover"]


def entropy(shares: list[float]) -> float:
    return -sum(p * math.log2(p) for p in shares if p > 0)


def sets_of(case: Case) -> dict[frozenset[str], float]:
    rows: dict[frozenset[str], float] = {}
    for world in worlds():
        rows[world[0]] = rows.get(world[0], 0.0) + weight(world, case)
    return rows


def told_by(case: Case, answers: list[Case]) -> float:
    """Bits that the answers tell of the sets, by their entropy before and after."""
    before, after = sets_of(case), [sets_of(one) for one in answers]
    total = sum(before.values())
    left = sum(
        sum(rows.values()) / total * entropy([p / sum(rows.values()) for p in rows.values()])
        for rows in after
    )
    return entropy([p / total for p in before.values()]) - left


def test_putting_a_cause_away_is_worth_the_entropy_that_it_takes_off():
    case = Case(frozenset({"rub", "tick"}), frozenset({"hum"}), undone={"slot": {"rub": True}})
    net = build(table(), case)

    hears, told = put_away(net, likely(net, posterior(net, complaint=True)), "cover")

    ways = itertools.product((True, False), repeat=2)
    answers = [
        replace(case, undone={**case.undone, "cover": dict(zip(("rub", "tick"), way, strict=True))})
        for way in ways
    ]
    assert set(hears) == {"rub", "tick"}
    assert told.bits == pytest.approx(told_by(case, answers), abs=1e-9)
    assert told.if_not < told.now < told.if_so


@pytest.mark.parametrize(("heard", "within"), [({"rub", "tick"}, 1e-9), ({"rub"}, 2e-3)])
def test_a_symptom_asked_for_is_worth_the_entropy_that_it_takes_off(heard, within):
    """A second case: the oil is a cause that nothing bears on yet."""
    case = Case(frozenset(heard), frozenset({"tick"} - heard))
    if "tick" not in heard:
        case = Case(frozenset(heard))
    net = build(table(), case)

    told = dict(asked(net, likely(net, posterior(net, complaint=True))))["hum"]

    yes = replace(case, heard=case.heard | {"hum"})
    no = replace(case, denied=case.denied | {"hum"})
    assert told.bits == pytest.approx(told_by(case, [yes, no]), abs=within)
    assert told.cause == "oil"
    assert told.if_so == pytest.approx(by_all_worlds(yes)["oil"], abs=0.02)


def test_the_search_proposes_to_hear_again_once_and_says_what_it_weighed():
    known, case = table(), Case(frozenset({"rub", "tick"}), frozenset({"hum"}))
    net = build(known, case)
    looks = best_looks(known, net, posterior(net, complaint=True), taken=())
    away = next(one for one in looks if one.kind == "undo" and one.key == "cover")
    after = replace(case, undone={"cover": dict.fromkeys(away.hears, False)})
    again = build(known, after)

    rows = best_looks(known, again, posterior(again, complaint=True), taken=())
    said = {one.what: one.times for one in reasons(known, known.causes[0], after, again)
            if one.kind == "again"}  # fmt: skip

    assert ("undo", "cover") not in {(one.kind, one.key) for one in rows}
    assert set(said) == {"rub", "tick"} and all(times > 1 for times in said.values())
    gone, p = 1 - MISHEARD, 0.6
    alone = (p * (1 - LEAK) * gone + LEAK * MISHEARD) / (LEAK * MISHEARD)
    assert said["rub"] == pytest.approx(alone / (1 - p + p / LEAK))


def test_nothing_grows_more_than_the_bound_of_its_pruning():
    """Every cause added to every set multiplies what is heard by no more than is foreseen."""
    heard = build(table(), CASES[0]).heard
    for size in range(3):
        for members in itertools.combinations(range(3), size):
            quiet = heard.silent[list(members)].sum(axis=0)
            assert (np.log(heard.p(quiet)) <= heard.best + 1e-12).all()
            for i in set(range(3)) - set(members):
                more = np.log(heard.p(quiet + heard.silent[i]) / heard.p(quiet))
                assert (more <= heard.most[i] + 1e-12).all()
