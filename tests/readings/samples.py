"""What is typed into each entry sheet: one plausible set of values a gauge, as a form sends it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from typing import Any

from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.readings import actions
from repairs.readings.models import Reading, Result, Verdict
from repairs.readings.parse import raw_of
from repairs.readings.sheets.catalogue import sheet_of

Words = dict[str, str]
Rows = list[dict[str, str]]


def form(fields: Words, rows: Rows) -> Words:
    """The names under which a browser sends those cells."""
    cells = {f"{key}-{n}": typed for n, row in enumerate(rows, 1) for key, typed in row.items()}
    return fields | cells


def wheel_rows(
    ecc: float = 10.0, oval: float = 0.0, *, high_deg: float = 60.0, count: int = 24
) -> Rows:
    """Dial readings in hundredths of a wheel off its axle, written with a comma."""
    rows = []
    for place in range(count):
        angle = 360 * place / count
        turn = math.radians(angle - high_deg)
        dial = ecc * math.cos(turn) + oval * math.cos(2 * turn)
        rows.append(
            {"angle_deg": f"{angle:g}", "reading": f"{dial:.1f}".replace(".", ","), "axial": ""}
        )
    return rows


def wheel(rows: Rows | None = None, **fields: str) -> Words:
    said = {"mean_diameter_mm": "170,2", "scale": "hundredths", "sign": "1"}
    said |= {"start_deg": "", "gauge_sigma_mm": "0.005", "lift_mm": "", "rim": "", "surface": ""}
    said |= fields
    return form(said, wheel_rows() if rows is None else rows)


def keys(cents: dict[int, str], **fields: str) -> Words:
    said = {
        "length_mm": "345",
        "temperament": "just",
        "scl": "",
        "reading": "off_wanted",
        "open_cents": "0",
        "offset_mm": "",
        "u_cents": "0,5",
    } | fields
    return form(said, [{"key": str(k), "first": c, "second": ""} for k, c in cents.items()])


def string(name: str, length: str, pitch: str, diameter: str, **cells: str) -> Words:
    said = {"material": "gut", "density_kg_m3": "", "break_deg": "", "wanted_n": ""} | cells
    return {
        "name": name,
        "length_mm": length,
        "pitch_hz": pitch,
        "diameter_mm": diameter,
        **said,
    }


def strings() -> Words:
    rows = [
        string("Chanterelle", "345", "392", "0,8", break_deg="14", wanted_n="55"),
        string("Mouche", "345", "196", "1.4"),
    ]
    return form({}, rows)


def action() -> Words:
    fields = {
        "length_mm": "345",
        "nut_1": "30",
        "bridge_1": "32",
        "nut_2": "",
        "bridge_2": "",
        "diameter_mm": "0,8",
        "amplitude_mm": "0.6",
        "lid_mm": "46",
        "wall_mm": "28",
        "wall_at_mm": "300",
        "rim_mm": "31,5",
        "from_bridge_mm": "28",
    }
    rows = [
        {
            "key": str(key),
            "at_1": f"{345 * (1 - 2 ** (-key / 12)):.1f}",
            "gap_1": "1,4" if key != 3 else "2,6",
            "flag_low_mm": "26",
            "flag_high_mm": "36",
            "travel_mm": "3",
            "side_play_mm": "0,1",
            "returns": "free",
        }
        for key in range(1, 8)
    ]
    return form(fields, rows)


def climate() -> Words:
    """A logger's file as one in France writes it: two months, every six hours."""
    start = dt.datetime(2025, 1, 1, 6, tzinfo=dt.UTC)
    lines = ["Date;Humidité (%HR);Température (°C)"]
    for step in range(4 * 60):
        at = start + dt.timedelta(hours=6 * step)
        air = 48 + 9 * math.sin(step / 9) + 3 * math.sin(step)
        lines.append(
            f"{at:%d/%m/%Y %H:%M};{air:.1f};{19 + math.sin(step / 4):.1f}".replace(".", ",")
        )
    fields = {"part": "", "width_mm": "180", "species": "norway_spruce", "direction": "radial"}
    return {"csv": "\n".join(lines), **fields, "glued_at_rh_pct": ""}


def card(gauge: str, **said: str) -> Words:
    """Every cell of a card left empty, but for what is said."""
    return {cell.key: cell.default for cell in sheet_of(gauge).cells} | said


def plate() -> Words:
    """A plate whose bridge sank by 0.35 mm and whose seventh place bulged by 0.12."""
    fields = card("plate", tension_n="130", before_deg="3", after_deg="8")
    at = [(0, 0), (300, 0), (0, 180), (300, 180), (190, 90)]
    at += [(60, 60), (60, 120), (130, 60), (130, 120), (230, 60), (230, 120), (260, 90)]
    moved = {5: -0.35, 7: 0.12}
    rows = [
        {
            "place": str(number),
            "kind": "edge" if number < 5 else "bridge" if number == 5 else "plate",
            "x_mm": str(x),
            "y_mm": str(y),
            "slack_mm": "5,00",
            "pitch_mm": f"{5 + moved.get(number, 0):.2f}".replace(".", ","),
            "later_mm": "",
        }
        for number, (x, y) in enumerate(at, 1)
    ]
    return form(fields, rows)


def voicing() -> Words:
    said = {"paper": "grabbed", "sound_open": "chokes", "lift_mm": "1,2", "from_bridge_mm": "28"}
    return card("voicing_card", string="Mouche", length_mm="345", tension_n="31,5", **said)


def bowing() -> Words:
    said = {"string": "Chanterelle", "tension_n": "66,3", "length_mm": "345", "pitch_hz": "392"}
    said |= {"from_bridge_mm": "25", "lift_mm": "1,2", "wheel_mm": "170", "highest": "23"}
    heard = {10: "speaks", 15: "speaks", 20: "chokes"}
    rows = [
        {"key": str(key), "at_mm": "", "sound": heard.get(key, "")} for key in (5, 10, 15, 20, 23)
    ]
    return form(card("bowing_window", **said), rows)


def force() -> Words:
    """A wheel off its axle and oval under two strings, one of them of unknown tension."""
    fields = card("force_turn", ecc_mm="0,07", ecc_at_deg="60", oval_mm="0,02", oval_at_deg="15")
    row = {"name": "Chanterelle", "lift_mm": "1,0", "tension_n": "66,3", "length_mm": "345"}
    other = dict.fromkeys(row, "") | {"name": "Mouche", "lift_mm": "1,4", "from_bridge_mm": ""}
    return form(fields, [row | {"from_bridge_mm": "25"}, other])


SAMPLES: dict[str, Callable[[], Words]] = {
    "wheel": wheel,
    "correction": lambda: keys({1: "1,5", 2: "-3", 3: "0", 4: "12,5", 5: "2", 7: "-0.5"}),
    "tangents": lambda: card("tangents", length_mm="345"),
    "sharpening": lambda: card(
        "sharpening",
        length_mm="345",
        total_mm="600",
        tension_n="66,3",
        diameter_mm="0,8",
        from_nut_mm="115",
        push_mm="2.5",
    ),
    "key_return": lambda: card(
        "key_return", mass_g="9,5", slide_1_deg="18", slide_2_deg="19,5", playing_deg="45"
    ),
    "string_set": strings,
    "action": action,
    "voicing_card": voicing,
    "bowing_window": bowing,
    "force_turn": force,
    "dog_card": lambda: card("dog_card", onset="late", foot_full="no", onset_rpm="120"),
    "crack_joint": lambda: card(
        "crack_joint", gap_mm="0,3", width_mm="180", from_rh_pct="38", to_rh_pct="52"
    ),
    "cleats": lambda: card("cleats", crack_mm="146", size_mm="10"),
    "tap_tone": lambda: card(
        "tap_tone", mass_g="28,4", length_mm="400", width_mm="60", thickness_mm="2,8", f_hz="92"
    ),
    "plate": plate,
    "movement": lambda: card(
        "movement", width_mm="180", from_rh_pct="50", to_rh_pct="30", thickness_mm="2,8"
    ),
    "emc": lambda: card("emc", rh_pct="50", wanted_emc_pct="9"),
    "clamp": lambda: card("clamp", area_mm2="2500", clamp_n="400"),
    "climate_log": climate,
}


def about(**said: str) -> Words:
    """What goes with every reading beside its values."""
    moment = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"phase": "before", "subject": "", "taken_at": moment, "not_permitted": ""} | said


def address(case: Case, gauge: str = "wheel", name: str = "take") -> str:
    return reverse(f"readings:{name}", args=[case.number, gauge])


def raw(gauge: str, words: Words | None = None) -> dict[str, Any]:
    return raw_of(sheet_of(gauge), SAMPLES[gauge]() if words is None else words)


def reading(
    case: Case, *, by: Any, gauge: str = "wheel", words: Words | None = None, **fields: Any
) -> Reading:
    """A kept reading, through the same verb that the screen uses."""
    said = {"taken_at": timezone.now(), "raw": raw(gauge, words)} | fields
    row = Reading(case=case, gauge=gauge, **said)
    return actions.save_reading(row, by=by, at=timezone.now())


def result_of(reading: Reading) -> Result:
    """The newest result, which the test knows to be there."""
    assert reading.latest is not None
    return reading.latest


def verdict_of(reading: Reading, figure: str) -> Verdict:
    return result_of(reading).verdicts.get(figure=figure)
