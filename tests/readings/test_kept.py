"""Promised beside reached: cut, crack, action and dog, on the screen of a reading."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from repairs.readings.models import Prescription, Reading
from repairs.readings.promises import judged, promised
from tests.readings import samples
from tests.readings.pages import page_of

DOG = {"onset": "crisp", "foot_full": "yes"}
CRACK = samples.SAMPLES["crack_joint"]()


def told(code: str, amount: float | None = None, **details: str) -> Prescription:
    return Prescription(code=code, amount=amount, details=details)


@pytest.mark.parametrize(
    ("row", "figures", "limits", "wanted"),
    [
        (told("try.wedge_slot"), {"play_mm": 0.6}, (0.1, 0.3), ("play_mm", -0.3)),
        (told("try.ease_slot"), {"play_mm": 0.02}, (0.1, 0.3), ("play_mm", 0.08)),
        (told("try.wedge_slot"), {"play_mm": 0.2}, (0.1, 0.3), None),
        (told("try.wedge_slot"), {}, (0.1, 0.3), None),
        (told("try.retie_nearer_line"), {"pitch_shift_cents": -9.0}, (-5, 5), ("pitch_shift", 4)),
        (told("try.thin_foot"), {"onset_rpm": 130.0}, (60, 110), ("onset_rpm", -20)),
        (told("try.thin_foot"), {"onset_rpm": 130.0}, (None, None), None),
        (
            told("action.bush.key", 0.4, why="side_play"),
            {"side_play_mm": 0.9},
            (0.1, 0.4),
            ("s", -0.5),
        ),
        (told("action.lower.lid", 0.4, why="lid"), {"lid_mm": 0.1}, (0.5, None), ("lid_mm", 0.4)),
        (told("action.clean.key", why="returns"), {}, (None, None), None),
        (told("crack.glue"), {"left_mm": 0.3}, (None, 0.1), ("left_mm", -0.2)),
    ],
)
def test_what_is_brought_to_order_is_promised_inside_its_limit(row, figures, limits, wanted):
    found = promised([row], {}, figures, dict.fromkeys(figures, limits))

    if wanted is None:
        assert found == []
        return
    (promise,) = found
    assert promise.figure.startswith(wanted[0])
    assert promise.change == pytest.approx(wanted[1])
    assert promise.to_limit


def test_several_keys_promise_the_worst_of_them_once():
    rows = [told("action.bush.key", amount, why="side_play") for amount in (0.2, 0.4)]

    found = promised(rows, {}, {"side_play_mm": 0.9}, {"side_play_mm": (0.1, 0.4)})

    assert [one.prescription for one in found] == rows[:1]


@pytest.mark.parametrize(
    ("expected", "got", "to_limit", "word", "short"),
    [
        (-0.12, -0.11, False, "inside", 0.01),
        (-0.12, -0.05, False, "outside", 0.07),
        (-0.12, -0.20, False, "outside", -0.08),
        (-0.12, -0.20, True, "inside", -0.08),  # the way to a limit may be gone further
        (-0.12, -0.05, True, "outside", 0.07),
        (0.0, 0.05, False, "outside", 0.05),
    ],
)
def test_a_promise_is_kept_within_twice_the_joint_uncertainty(expected, got, to_limit, word, short):
    u = None if to_limit else 0.01

    found, lacks = judged(expected, u, got, 0.01, to_limit=to_limit)

    assert found == word
    assert lacks == pytest.approx(short)


@pytest.mark.django_db
class TestOnTheScreen:
    """Two readings of one thing, the second after the work."""

    @pytest.fixture
    def said(self, client, case, armand):
        client.force_login(armand)

        def of(gauge: str, first: dict[str, str], second: dict[str, str]) -> str:
            hour = dt.timedelta(hours=1)
            samples.reading(
                case, by=armand, gauge=gauge, words=first, taken_at=timezone.now() - hour
            )
            after = samples.reading(case, by=armand, gauge=gauge, words=second, phase="after")
            return page_of(client.get(after.get_absolute_url()))

        return of

    def test_a_wheel_that_was_moved_says_what_was_promised_and_reached(self, said):
        page = said(
            "wheel",
            samples.wheel(samples.wheel_rows(ecc=10), rim="later_replacement", surface="clean"),
            samples.wheel(samples.wheel_rows(ecc=0.4)),
        )

        assert "Promised by reading 1" in page
        assert "promised 0.000 ±" in page
        assert ", reached 0.004 ±" in page
        assert "as promised" in page

    def test_a_dog_wedged_in_its_slot_and_scraped(self, said):
        bad = {"onset": "late", "foot_full": "no", "foot_print": "toe", "play_mm": "0,6"}
        page = said(
            "dog_card",
            samples.card("dog_card", **bad),
            samples.card("dog_card", play_mm="0,45", **DOG),
        )

        assert "promised from 0.1 to 0.3 mm, reached 0.45 ± 0.03 mm" in page
        assert "✕ short by 0.15 mm" in page
        assert "Its foot stands full on the plate promised yes, reached yes" in strong_away(page)

    def test_a_key_whose_play_was_taken_up(self, said):
        even = samples.action() | {f"side_play_mm-{row}": "0,2" for row in range(1, 8)}
        page = said("action", even | {"side_play_mm-4": "0,9"}, even)

        assert "Side play of the key" in page
        assert "reached 0.2" in page
        assert "● as promised" in page

    def test_a_crack_brought_into_the_air_of_its_home(self, said):
        wide = CRACK | {"gap_mm": "0,6", "from_rh_pct": "38", "to_rh_pct": "52"}
        page = said("crack_joint", wide, CRACK | {"gap_mm": "0,05", "from_rh_pct": "52"})

        assert Reading.objects.count() == 2
        assert "Promised by reading 1" in page


def strong_away(page: str) -> str:
    for mark in ("<strong>", "</strong>", "<small>", "</small>"):
        page = page.replace(mark, "")
    return " ".join(page.split())
