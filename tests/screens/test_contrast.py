"""Every pair of tokens that meets on a page, in both schemes.

Published: WCAG 2.2, success criteria 1.4.3 (text, 4.5:1) and 1.4.11 (controls, 3:1); relative
luminance as it defines it. Two ratios of its own examples are checked first.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings

CSS = Path(settings.BASE_DIR) / "repairs" / "static" / "repairs" / "css"
TEXT, SIGN = 4.5, 3.0
WORDS = ("ink", "pencil", "blue", "red", "moss")
TEXT_PAIRS = [
    *(
        (fore, back)
        for fore in ("ink", "pencil", "blue", "red", "moss")
        for back in ("sheet", "ground")
    ),
    *((fore, "box") for fore in ("ink", "pencil", "red", "blue", "moss")),
    *((fore, "red-wash") for fore in ("ink", "pencil", "red")),
    *((fore, "moss-wash") for fore in ("ink", "pencil", "moss")),
    ("on-key", "key"),
    ("on-bar", "bar"),
    ("bar", "on-bar"),
    ("on-rosin", "rosin"),
    ("on-rosin-key", "on-rosin"),
    ("on-blue", "blue"),
    ("on-red", "red"),
    ("sheet", "ink"),
    ("sheet", "moss"),
]
SIGN_PAIRS = [
    ("edge", "sheet"),
    ("edge", "ground"),
    ("edge", "box"),
    ("key", "sheet"),
    ("key", "ground"),
    ("on-rosin", "rosin"),
]


def colours(name: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", (CSS / name).read_text("utf-8")))


LIGHT = colours("tokens.css")
DARK = LIGHT | colours("dark.css")


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def ratio(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_is_that_of_the_standard():
    assert ratio("#000000", "#ffffff") == pytest.approx(21)
    assert ratio("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
def test_every_pair_can_be_read(scheme):
    poor = {
        f"{fore} on {back}": round(ratio(scheme[fore], scheme[back]), 2)
        for need, pairs in ((TEXT, TEXT_PAIRS), (SIGN, SIGN_PAIRS))
        for fore, back in pairs
        if ratio(scheme[fore], scheme[back]) < need
    }

    assert poor == {}


def test_no_colour_is_written_out_beside_the_tokens():
    """A shade of its own would leave the dark scheme, and this test, behind."""
    strays = {
        f"{file.name}: {colour}"
        for file in CSS.glob("*.css")
        if file.name not in ("tokens.css", "dark.css", "paper.css", "sheets.css")
        for line in file.read_text("utf-8").splitlines()
        if not re.search(r"\[(fill|stroke)=", line)
        for colour in re.findall(r"#[0-9a-fA-F]{3,6}\b", line)
        if colour not in ("#fff", "#ffffff", "#000")  # on photos, which have no scheme
    }

    assert strays == set()
