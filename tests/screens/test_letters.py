"""The house's faces hold every sign that our pages and papers use, in every weight."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

from repairs.press.style import SHEETS
from repairs.screens.lettering import FACES, LETTERS
from repairs.screens.styles import FIRST_LETTERS, STYLES

FOLDER = Path(settings.BASE_DIR) / "repairs" / "static" / "repairs" / "letters"
SIGNS = "µ●◐○✕✓♯♭←↑→↓−≤≥≈€œŒ«»’“”…–—\u202f\u00a0"
SCREEN_BYTES = 51_000


def points_of(name: str) -> set[int]:
    with TTFont(FOLDER / name, lazy=True) as font:
        return set(font.getBestCmap())


@pytest.mark.parametrize("face", [face.name for face in FACES])
@pytest.mark.parametrize("suffix", ["ttf", "woff2"])
def test_a_face_holds_the_letters_of_both_languages_and_our_signs(face, suffix):
    known = points_of(f"{face}.{suffix}")

    assert {sign for sign in SIGNS if ord(sign) not in known} == set()
    assert {chr(point) for point in LETTERS - known} <= {"ʳ", "\xad"}


@pytest.mark.parametrize("face", [face.name for face in FACES])
def test_names_from_elsewhere_have_their_letters_in_the_second_file(face):
    known = points_of(f"{face}-more.ttf")

    assert {letter for letter in "ŁłŘřŐőŞşĞğİıĀāŽžĆć" if ord(letter) not in known} == set()


def test_what_a_first_page_fetches_is_light():
    own = [FOLDER / f"{face.name}.woff2" for face in FACES]

    assert sum(file.stat().st_size for file in own) < SCREEN_BYTES


def test_figures_are_all_of_one_width():
    """Readings stand in columns: the tabular figures are asked for, or are the only ones."""
    with TTFont(FOLDER / "atelier-text-400.ttf") as font:
        features = {record.FeatureTag for record in font["GSUB"].table.FeatureList.FeatureRecord}
        widths = {font["hmtx"][font.getBestCmap()[ord(figure)]][0] for figure in "0123456789"}

    assert "tnum" in features or len(widths) == 1


@pytest.mark.parametrize("name", [f"css/{name}.css" for name in (*STYLES, *SHEETS)])
def test_every_part_of_the_style_is_there(name):
    assert finders.find(f"repairs/{name}")


@pytest.mark.parametrize("name", FIRST_LETTERS)
def test_what_is_preloaded_is_there(name):
    assert finders.find(f"repairs/letters/{name}.woff2")
