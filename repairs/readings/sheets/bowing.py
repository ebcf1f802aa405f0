"""The bowing window's entry sheet: one string on the wheel, key by key → which lift serves all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.charts.band import Band, band_chart
from repairs.charts.svg import Chart
from repairs.gauges.base.errors import GaugeInputError
from repairs.language.text import rounded, uses_comma
from repairs.readings.pitches import FORK_CELL, pitch_cell
from repairs.readings.sheets.base import Advice, Cell, FigureValue, Plain, Sheet, Text
from repairs.readings.sheets.common import USUAL_KEYS, given_only, rows_of_keys
from repairs.readings.sheets.order import in_order

SOUNDS: tuple[tuple[str, Text], ...] = (
    ("speaks", _("speaks")),
    ("chokes", _("chokes")),
    ("weak", _("is weak or whistles")),
)
CELLS = (
    Cell("string", _("string"), kind="text"),
    Cell("tension_n", _("tension"), "N", least=0.05, most=500, likely=(15, 120)),
    Cell("length_mm", _("speaking length"), "mm", least=100, most=1000, likely=(300, 430)),
    FORK_CELL,
    pitch_cell(_("pitch of the open string"), (60, 700)),
    Cell("from_bridge_mm", _("wheel, from the bridge"), "mm", least=1, most=200, likely=(10, 60)),
    Cell(
        "lift_mm",
        _("lift at the wheel, without cotton"),
        "mm",
        required=False,
        least=0.01,
        most=20,
        likely=(0.2, 3),
    ),
    Cell("wheel_mm", _("diameter of the wheel"), "mm", least=50, most=300, likely=(120, 190)),
    Cell(
        "turns_per_min",
        _("crank, as it is turned"),
        _("turns/min"),
        required=False,
        least=5,
        most=400,
        likely=(30, 120),
        default="60",
    ),
    Cell(
        "highest",
        _("highest key"),
        required=False,
        least=1,
        most=60,
        likely=(12, 30),
        help=_("Keys whose place is not typed are taken in equal temperament."),
    ),
    Cell(
        "friction",
        _("friction lost from sticking to slipping"),
        required=False,
        least=0.05,
        most=1.5,
        likely=(0.2, 0.9),
        help=_("0.5 ± 0.15 where nothing is typed; rosin fresh and rich makes it more."),
    ),
    Cell(
        "resistance_kg_s",
        _("resistance of the bridge"),
        "kg/s",
        required=False,
        least=1,
        most=1000,
        likely=(5, 200),
        help=_("30, within a factor of two, where nothing is typed."),
    ),
)
COLUMNS = (
    Cell("key", _("key"), least=1, most=60, index=True),
    Cell("at_mm", _("place from the nut"), "mm", required=False, least=0.1, most=1000),
    Cell("sound", _("heard"), kind="choice", required=False, choices=SOUNDS),
)


def to_input(values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it: a row a key, then the highest key."""
    names = [cell.key for cell in CELLS if cell.key not in ("string", "highest")]
    length = values["length_mm"]
    highest = int(values.get("highest") or max((row["key"] for row in rows), default=USUAL_KEYS))
    keys = [_key(row, number, length) for number, row in enumerate(rows, 1)]
    if not keys:
        keys = [{"key": key, "at_mm": _equal(key, length)} for key in range(1, highest + 1)]
    elif highest > max(key["key"] for key in keys):
        keys.append({"key": highest, "at_mm": _equal(highest, length)})
    return {**given_only(values, *names), "keys": keys}


def _key(row: Plain, number: int, length_mm: float) -> dict[str, Any]:
    if row["key"] is None:
        raise GaugeInputError("missing", field="key", row=number)
    at = row["at_mm"] if row["at_mm"] is not None else _equal(row["key"], length_mm)
    return {"key": row["key"], "at_mm": at, **given_only(row, "sound")}


def _equal(key: float, length_mm: float) -> float:
    """The place of a key from the nut in equal temperament."""
    return float(length_mm * (1.0 - 2.0 ** (-key / 12.0)))


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The force, both ends of its window, and the lifts that give them."""
    opened, top = out["notes"][0], out["notes"][-1]
    most = _("most that key %(key)s bears") % {"key": top["key"]}
    found = [
        FigureValue("least_n", _("least that holds the open string"), *_spread(opened["least"])),
        FigureValue("most_n", most, *_spread(top["most"])),
        _plain("lift_least_mm", _("lift that gives the least"), out, "mm", 2),
        _plain("lift_most_mm", _("lift that gives the most"), out, "mm", 2),
        _plain("rim_m_s", _("speed of the rim"), out, "m/s", 2),
    ]
    if out["force_n"] is not None:
        force = FigureValue(
            "force_n", _("force on the wheel"), out["force_n"], out["u_force_n"], "N", 2, None
        )
        found.insert(0, force)
    return found


def _spread(force: Mapping[str, float]) -> tuple[float, float, str, int, None]:
    """A force with the half of what holds it in 68 of 100 cases; its range is wider above."""
    return force["n"], (force["high_n"] - force["low_n"]) / 3.92, "N", 2, None


def _plain(key: str, label: Text, out: Plain, unit: str, digits: int) -> FigureValue:
    return FigureValue(key, label, out[key], None, unit, digits, None)


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """What the keys bear, then rosin, cotton and the string's height, in that order."""
    if out["force_n"] is None:
        return []
    chokes, doubtful, weak = (_notes(out, *words) for words in _WORDS)
    lines = []
    if chokes:
        lines += [Advice("bow.chokes_from", str(chokes[0])), Advice("bow.wipe")]
        lines.append(Advice("bow.thinner_cotton"))
    elif doubtful:
        lines.append(Advice("bow.may_choke_from", str(doubtful[0])))
    if weak:
        lines += [Advice("bow.weak_up_to", str(weak[-1])), Advice("bow.rosin")]
        lines.append(Advice("bow.more_cotton"))
    if not lines and out["serves"]:
        lines.append(Advice("bow.serves", str(out["notes"][-1]["key"])))
    if out["lift_least_mm"] > out["lift_most_mm"]:
        lines.append(_no_lift(out))
    elif out["string_up_mm"] is not None:
        lines.append(_height(out))
    return in_order(lines, "card.consent")


_WORDS = (("chokes",), ("may_choke",), ("does_not_start", "weak"))


def _notes(out: Plain, *words: str) -> list[int]:
    """The keys of which the ear says so, or the figures where the ear says nothing else."""
    return [note["key"] for note in out["notes"] if (note["sound"] or note["word"]) in words]


def _height(out: Plain) -> Advice:
    up = out["string_up_mm"]
    return Advice(
        "bow.raise_string" if up > 0 else "bow.lower_string",
        amount=abs(up),
        u=out["u_string_up_mm"],
        unit="mm",
        details={"lift": out["lift_wanted_mm"], "force": out["force_wanted_n"]},
    )


def _no_lift(out: Plain) -> Advice:
    top = out["notes"][-1]
    least = out["notes"][0]["least"]["n"]
    return Advice(
        "bow.no_lift", str(top["key"]), details={"least": least, "most": top["most"]["n"]}
    )


def warnings(out: Plain) -> list[Text]:
    """Where the formulae are a rough guide."""
    far = [note["key"] for note in out["notes"] if note["far"]]
    if not far:
        return []
    words = _(
        "From key %(key)s on the wheel stands at more than a fifth of the sounding length: there "
        "the window is a rough guide, and the ear decides."
    )
    return [words % {"key": far[0]}]


MOST_BANDS = 9


def chart(_given: Plain, out: Plain, _before: Plain | None, _was: Plain | None) -> Chart:
    """The window of some notes from the open string to the highest, with the force in it."""
    notes = out["notes"]
    step = max(1, -(-len(notes) // MOST_BANDS))
    picked = [*notes[:-1:step], notes[-1]]
    bands = [_band(note, out["force_n"]) for note in picked]
    high = max(band.high or 0.0 for band in bands) * 1.15
    ends = picked[0]["least"]["n"], picked[-1]["most"]["n"]
    said = {"least": rounded(ends[0], 2), "most": rounded(ends[1], 2)}
    alt = gettext(
        "Bowing window of each note: at least %(least)s N on the open string, at most %(most)s N "
        "at the highest key"
    )
    return band_chart(bands, unit="mN", low=0.0, high=high, alt=alt % said, comma=uses_comma())


def _band(note: Mapping[str, Any], force_n: float | None) -> Band:
    name = gettext("key %(key)s") % {"key": note["key"]} if note["key"] else gettext("open string")
    low, high = note["least"]["n"] * 1000, note["most"]["n"] * 1000
    return Band(name, min(low, high), max(low, high), None if force_n is None else force_n * 1000)


def first_rows(case: Case) -> list[dict[str, str]]:
    """A row for each key of the instrument."""
    return rows_of_keys(COLUMNS, case)


SHEET = Sheet(
    gauge="bowing_window",
    label=_("bowing window of a string"),
    says=_("How hard the wheel may press, key by key; which lift, cotton and rosin serve."),
    needs="may_string",
    cells=CELLS,
    columns=COLUMNS,
    to_input=to_input,
    figures=figures,
    advice=advice,
    chart=chart,
    first_rows=first_rows,
    warnings=warnings,
    most_rows=60,
)
