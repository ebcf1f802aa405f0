"""A keyboard typed badly: the row is named, what was typed stays, nothing is kept."""

from __future__ import annotations

import re

import pytest

from repairs.readings.models import Reading
from tests.readings import samples
from tests.readings.pages import page_of

pytestmark = pytest.mark.django_db


def typed(gauge: str, **cells: str) -> dict[str, str]:
    words = samples.keys(dict.fromkeys(range(1, 8), "1,5"))
    if gauge == "action":
        words = samples.action()
    return words | {name.replace("_at_row_", "-"): value for name, value in cells.items()}


@pytest.mark.parametrize(
    ("gauge", "cells", "row"),
    [
        ("correction", {"key_at_row_4": "3"}, 4),  # the same key twice
        ("correction", {"first_at_row_5": "high"}, 5),
        ("correction", {"first_at_row_6": "900"}, 6),
        ("action", {"key_at_row_4": "3"}, 4),
        ("action", {"at_1_at_row_2": "10000"}, 2),  # 10 m
        ("action", {"gap_1_at_row_2": "wide"}, 2),
        ("action", {"at_1_at_row_3": "71.2", "at_1_at_row_4": "54.9"}, 4),  # two keys swapped
    ],
)
def test_the_row_is_named_and_what_was_typed_stays(post, gauge, cells, row):
    words = typed(gauge, **cells)

    answer = post(words, gauge)

    page = page_of(answer)
    assert answer.status_code == 422
    assert not Reading.objects.exists()
    problems = page[page.index("Nothing was saved yet") :]
    assert re.search(rf'href="#cell-\w+-{row}">[^<]*row {row}\b', problems)
    for name, value in words.items():
        if value and re.search(r"-\d+$", name) and not name.startswith("returns"):
            assert re.search(rf'name="{name}" value="{re.escape(value)}"', page), name
