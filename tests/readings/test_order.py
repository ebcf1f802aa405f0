"""In any advice what can be undone comes before what cannot, clean and acclimatised before a blow.

Walked over every sheet, so that a new gauge is held to it by itself: its plausible sheet, and many
more drawn by chance around it. What a line does to the instrument is told by its own English words,
not by the table that puts it in order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
import pytest
from django.utils import translation

from repairs.gauges.base.errors import GaugeInputError
from repairs.readings.actions import measured
from repairs.readings.parse import parse, raw_of
from repairs.readings.sheets.base import Advice
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.sheets.order import STAGES, Stage, in_order, stage_of
from repairs.readings.words import ADVICE, advice_words
from tests.readings import samples

# What a sentence that takes wood away, makes a hole or glues says of itself.
LASTING = re.compile(
    r"\b(turn the rim|thin its back|take \S+ ± \S+ mm off|re-pin it \S+ ± |re-pin it;|deepen|"
    r"deeper by|scrape|pare|lower the wheel’s edge|more room in its walls|further in|"
    r"widen the slot|lower its place|splint of|glue it closed)",
    re.IGNORECASE,
)
# A blow or a pull at the wheel; it is clean and at home in its air before.
BLOW = re.compile(r"\b(tap it in|re-seat the hub|reseat)\b", re.IGNORECASE)


def lines_of(gauge: str, words: dict[str, str]) -> list[Advice]:
    sheet = SHEETS[gauge]
    parsed = parse(sheet, raw_of(sheet, words))
    if parsed.problems:
        return []
    try:
        return measured(sheet, parsed).advice
    except GaugeInputError:
        return []


def drawn(gauge: str, count: int) -> Iterator[dict[str, str]]:
    """The plausible sheet, then others with a few numbers and choices of it changed by chance."""
    dice = np.random.default_rng(11)
    sheet, words = SHEETS[gauge], samples.SAMPLES[gauge]()
    yield words
    cells = {cell.key: cell for cell in (*sheet.cells, *sheet.columns)}
    typed = [name for name in words if name.partition("-")[0] in cells]
    for _ in range(count):
        other = dict(words)
        for name in dice.choice(typed, size=min(len(typed), 4), replace=False):
            cell = cells[str(name).partition("-")[0]]
            if cell.choices:
                other[str(name)] = str(dice.choice([key for key, _label in cell.choices]))
            elif cell.kind == "number" and other[str(name)]:
                number = float(other[str(name)].replace(",", "."))
                other[str(name)] = f"{number * dice.uniform(0.3, 2.5):.3f}"
        yield other


def places(lines: list[Advice], words: re.Pattern[str]) -> list[int]:
    with translation.override("en"):
        said = [advice_words(line) for line in lines]
    return [place for place, sentence in enumerate(said) if words.search(sentence)]


def acts(lines: list[Advice], stage: Stage) -> list[int]:
    return [place for place, line in enumerate(lines) if stage_of(line) == stage]


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_what_can_be_undone_comes_before_what_cannot(gauge):
    for words in drawn(gauge, 12):
        lines = lines_of(gauge, words)
        lasting = acts(lines, Stage.LASTING)
        if lasting:
            assert max(acts(lines, Stage.UNDOABLE), default=-1) < min(lasting), lines
            assert max(acts(lines, Stage.FIRST), default=-1) < min(lasting), lines
            assert max(acts(lines, Stage.LEAVE), default=-1) < min(lasting), lines
        blows = places(lines, BLOW)
        if blows and gauge != "wheel":  # the wheel's own order stands in its own tests
            assert max(acts(lines, Stage.FIRST), default=-1) < min(blows), lines


@pytest.mark.parametrize("code", sorted(ADVICE))
def test_the_table_of_stages_agrees_with_what_a_sentence_does(code):
    """A new sentence that cuts, scrapes or glues is not put among what can be undone."""
    with translation.override("en"):
        words = str(ADVICE[code])
    is_summary = code.startswith("wheel.re") or code == "wheel.cut"
    if LASTING.search(words) and not is_summary:
        assert stage_of(Advice(code)) == Stage.LASTING, words


def test_every_stage_is_of_a_code_that_there_is():
    for code in STAGES:
        assert any(known == code or known.startswith(code) for known in ADVICE), code


def test_leave_stands_before_every_act_where_one_cannot_be_undone():
    lines = in_order(
        [
            Advice("hint.foot_gap"),
            Advice("try.scrape_foot"),
            Advice("try.wedge_slot"),
            Advice("try.chalk_print"),
        ],
        "card.consent",
    )

    assert [line.code for line in lines] == [
        "hint.foot_gap",
        "card.consent",
        "try.chalk_print",
        "try.wedge_slot",
        "try.scrape_foot",
    ]
    assert [line.irreversible for line in lines] == [False, False, False, False, True]


def test_where_all_can_be_undone_nobody_is_asked_for_leave():
    lines = in_order([Advice("hint.pressure_low"), Advice("try.more_cotton")], "card.consent")

    assert [line.code for line in lines] == ["hint.pressure_low", "try.more_cotton"]


def test_a_keybox_asks_for_leave_before_it_tells_to_cut():
    out = {
        "first_fail": None,
        "playable_up_to": 3,
        "prescriptions": [
            change("lower", "shank", key=4),
            change("turn", "tangent", key=5),
            change("repin", "tangent", key=2),
        ],
    }

    lines = SHEETS["action"].advice({}, out)

    assert [line.code for line in lines] == [
        "action.all",
        "action.consent",
        "action.nearer.tangent",
        "action.lower.shank",
        "action.repin_nearer.tangent",
    ]
    assert [line.irreversible for line in lines] == [False, False, False, True, True]


def change(verb, what, key):
    return {
        "verb": verb, "what": what, "key": key, "string": 1, "place": None, "by_mm": 0.4,
        "u_mm": 0.1, "because": "rest_gap", "gap_change_mm": -0.4, "turn_deg": None,
        "also_other_string": False,
    }  # fmt: skip
