"""The least and the most that each input of each gauge may be: at the end taken, beyond it refused.

The table holds for each gauge an input that it takes, and the ends that follow from what can stand
on a bench. An input whose end follows from another (a wheel lies within half of the string) is
reckoned from the input of the table.
"""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges

TABLE = json.loads((Path(__file__).parent / "ends.json").read_text("utf-8"))
ROWS = [
    pytest.param(gauge, end, id=f"{gauge}-{'.'.join(map(str, end['at']))}")
    for gauge, one in TABLE.items()
    for end in one["ends"]
]


def refused(gauge: str, at: list[Any], value: float) -> GaugeInputError | None:
    """The refusal of that input, if it is refused for its size."""
    given = copy.deepcopy(TABLE[gauge]["input"])
    place = given
    for key in at[:-1]:
        place = place[key]
    place[at[-1]] = value
    try:
        gauges()[gauge].run(given)
    except GaugeInputError as refusal:
        name = next(str(key) for key in reversed(at) if isinstance(key, str))
        is_size = refusal.code in ("too_small", "too_big", "not_positive", "negative")
        return refusal if is_size and name in refusal.field else None
    return None


def test_the_table_has_every_gauge_and_its_inputs_are_taken():
    assert len(ROWS) > 150
    assert set(gauges()) == set(TABLE)
    for gauge, one in TABLE.items():
        gauges()[gauge].run(one["input"])


@pytest.mark.parametrize(("gauge", "end"), ROWS)
def test_an_input_is_taken_up_to_its_ends_and_refused_beyond(gauge, end):
    for limit, side in ((end["least"], -1), (end["most"], 1)):
        if limit is None:
            continue
        beyond = limit + side * max(abs(limit), 1.0) * 1e-3
        refusal = refused(gauge, end["at"], beyond)
        assert refusal is not None, beyond
        if refusal.code.startswith("too_"):
            assert float(str(refusal.details["limit"])) == pytest.approx(limit, rel=1e-5)
        assert is_refused_at(gauge, end, limit) == (side < 0 and end.get("open", False)), limit


def is_refused_at(gauge: str, end: dict[str, Any], limit: float) -> bool:
    """Is the end itself refused, for being that end and not for what stands beside it?"""
    refusal = refused(gauge, end["at"], limit)
    if refusal is None or refusal.code in ("not_positive", "negative"):
        return refusal is not None
    return float(str(refusal.details["limit"])) == pytest.approx(limit, rel=1e-5)
