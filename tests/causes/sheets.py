"""Entry sheets as somebody types them, chosen so that every figure of the causes comes out once."""

from __future__ import annotations

from typing import Any

from repairs.readings.parse import raw_of
from repairs.readings.sheets.catalogue import sheet_of
from tests.readings import samples

Typed = dict[str, Any]
FORCE = {"lift_mm": "0,7", "from_bridge_mm": "25", "length_mm": "345", "tension_n": "47,8"}


def wheel(**fields: str) -> Typed:
    """A dial all round, with its side, in hundredths."""
    rows = samples.wheel_rows(3.0, 0.5)
    for n, row in enumerate(rows):
        row["axial"] = f"{3 * n % 7 / 10}"
    return typed("wheel", samples.wheel(rows, lift_mm="0,7", **fields))


def keyboard(off: float = 0.0) -> Typed:
    """Two strings, one tangent far off, so that its partner is asked about too."""
    said = samples.keys({k: f"{k % 3 / 2 + (15 if k == 9 else off)}" for k in range(1, 24)})
    return typed("correction", {**said, **{f"second-{k}": f"{k % 2}" for k in range(1, 24)}})


def keybox() -> Typed:
    """An action of two strings."""
    said = samples.action()
    for n in range(1, 8):
        said |= {f"at_2-{n}": said[f"at_1-{n}"], f"gap_2-{n}": "1,5"}
    both = {"nut_2": "30", "bridge_2": "32"}
    return typed("action", {**said, **both, "spacing_nut_mm": "9", "spacing_bridge_mm": "9"})


def typed(gauge: str, words: dict[str, str]) -> Typed:
    """What a form sends, as it is kept."""
    return raw_of(sheet_of(gauge), words)


def card(gauge: str, **said: str) -> Typed:
    return typed(gauge, samples.card(gauge, **said))


def strings() -> Typed:
    """A whole set of six."""
    set_ = (
        ("chanterelle 1", "392", "0,8"), ("chanterelle 2", "392", "0,8"),
        ("trompette", "261,6", "1,02"), ("mouche", "196", "1,3"),
        ("petit bourdon", "130,8", "1,95"), ("gros bourdon", "98", "3"),
    )  # fmt: skip
    rows = [samples.string(name, "345", pitch, d) for name, pitch, d in set_]
    return typed("string_set", samples.form({}, rows))


VOICING = {"cotton": "thin", "cotton_sense": "with_wheel", "rosin_turns": "2"}
FILLED = (
    ("wheel", wheel()),
    ("correction", keyboard()),
    ("action", keybox()),
    ("string_set", strings()),
    ("climate_log", typed("climate_log", samples.climate())),
    ("crack_joint", typed("crack_joint", samples.SAMPLES["crack_joint"]())),
    *(
        ("voicing_card", card("voicing_card", string=string, **VOICING, **how))
        for string in ("chanterelle 1", "trompette", "gros bourdon")
        for how in (FORCE, {"paper": "nipped"})
    ),
    (
        "dog_card",
        card("dog_card", foot_full="no", play_mm="0,2", onset="late", onset_rpm="120",
             tirant_turns="0,3", pitch_shift_cents="4"),
    ),
)  # fmt: skip
