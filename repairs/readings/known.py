"""What is known before a sheet is filled in: by the instrument, by its last readings, by the day.

What is taken over is marked as such beside its cell: it was not measured now. What moves from one
reading to the next (a dial, cents, gaps) is never offered unasked; “as last time” fills in all of
it when one tap asks for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.findings.by_air import BY_AIR, OPENED
from repairs.findings.models import Finding
from repairs.people.models import User
from repairs.readings.known_strings import melody_diameter, offer_tensions
from repairs.readings.models import Reading
from repairs.readings.parse import Problem
from repairs.readings.pitches import FORK
from repairs.readings.sheets.base import Sheet
from repairs.readings.sheets.climate import HARM

LAST, EMPTY = "last", "empty"
LENGTH, LENGTH_OF_INSTRUMENT = "length_mm", "speaking_length"
SET = "string_set"
CLIMATE, HARM_CELL = "climate_log", "air_did_harm"
FORCE = "force_turn"
# The lobes of the wheel, as its last reading has them: cell of the amplitude, names of the output.
LOBES = (
    ("ecc_mm", "ecc_mm", "ecc_at_deg", "high_spot_deg"),
    ("oval_mm", "oval_amp_mm", "oval_at_deg", "oval_high_deg"),
)
# What belongs to the instrument and stays from one reading to the next, by sheet: cells, columns.
STAYS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "wheel": (("mean_diameter_mm",), ()),
    "correction": ((LENGTH, "temperament", "offset_mm"), ()),
    "action": (
        (
            LENGTH,
            "diameter_mm",
            "spacing_nut_mm",
            "spacing_bridge_mm",
            "from_bridge_mm",
            "wall_at_mm",
        ),
        ("at_1", "at_2"),
    ),
    FORCE: (("diameter_mm",), (LENGTH, "from_bridge_mm", "tension_n")),
    "voicing_card": ((LENGTH, "from_bridge_mm"), ()),
    "bowing_window": ((FORK,), ()),
    SET: ((FORK,), ("name", LENGTH, "pitch_hz", "diameter_mm", "material", "density_kg_m3")),
}


@dataclass
class Known:
    """The words of an empty sheet, and of each that was taken over, where from."""

    raw: dict[str, Any]
    sources: dict[str, str] = field(default_factory=dict)
    last: Reading | None = None
    is_as_last: bool = False
    is_empty: bool = False

    @property
    def words(self) -> list[str]:
        """Each source once, for the line above the table."""
        return list(dict.fromkeys(self.sources.values()))


def blank_raw(sheet: Sheet, case: Case) -> dict[str, Any]:
    """The sheet with nothing but its defaults and the names of its rows."""
    fields = {cell.key: cell.default for cell in sheet.cells}
    return {"fields": fields, "rows": sheet.first_rows(case)}


def known_of(sheet: Sheet, case: Case, user: User, asked: str = "") -> Known:
    """What a new sheet is filled with; all of the last reading where it is ``asked`` for.

    Asked for empty, it is a print for the bench: nothing but the names of its rows.
    """
    known = Known(blank_raw(sheet, case))
    if asked == EMPTY:
        known.raw["fields"] = dict.fromkeys(known.raw["fields"], "")
        known.is_empty = True
        return known
    known.last = _last(sheet.gauge, case, user)
    _from_instrument(sheet, case, known)
    if sheet.gauge == "action" and (strings := _last(SET, case, user)) is not None:
        strings.case = case
        _from_strings(strings, known)
    if sheet.gauge == CLIMATE:
        _from_findings(case, user, known)
    if sheet.gauge == FORCE and (wheel := _last("wheel", case, user)) is not None:
        _from_wheel(wheel, known)
    if known.last is not None:
        _units_as_chosen(sheet, known.last, known)
        known.is_as_last = asked == LAST
        cells, columns = STAYS.get(sheet.gauge, ((), ()))
        if known.is_as_last:
            cells = tuple(cell.key for cell in sheet.cells if cell.kind not in ("file", "long"))
            columns = tuple(column.key for column in sheet.columns)
        _from_reading(sheet, known.last, known, cells, columns)
    if sheet.gauge == FORCE:
        _tensions(_last(SET, case, user), known)
    return known


def _last(gauge: str, case: Case, user: User) -> Reading | None:
    """The last reading of that sheet on this instrument, in whichever stay."""
    stays = Case.objects.visible_to(user).filter(instrument=case.instrument_id)
    rows = Reading.objects.present().filter(case__in=stays, gauge=gauge, not_permitted="")
    return rows.select_related("case").order_by("taken_at", "pk").last()


def _from_instrument(sheet: Sheet, case: Case, known: Known) -> None:
    """Its speaking length, as the instrument’s page has it."""
    fields = known.raw["fields"]
    if LENGTH not in STAYS.get(sheet.gauge, ((), ()))[0] or LENGTH not in fields:
        return
    row = case.instrument.dimensions.filter(key=LENGTH_OF_INSTRUMENT).first()
    if row is not None:
        fields[LENGTH] = f"{row.value_mm.normalize():f}"
        known.sources[LENGTH] = _("from the instrument’s page")


def _from_findings(case: Case, user: User, known: Known) -> None:
    """A crack, an open joint or a lifting that the air caused, in this stay or an earlier one."""
    stays = Case.objects.visible_to(user).filter(instrument=case.instrument_id)
    harm = (
        Finding.objects.present()
        .filter(case__in=stays, cause=BY_AIR, term__in=OPENED)
        .select_related("part__instrument", "case")
        .order_by("case__received_at", "number")
        .last()
    )
    if harm is not None:
        said = {"number": harm.number, "case": harm.case, "seen": harm.term_label}
        known.raw["fields"][HARM_CELL] = HARM
        known.sources[HARM_CELL] = _("finding %(number)s of %(case)s: %(seen)s") % said


def _from_strings(strings: Reading, known: Known) -> None:
    """The diameter of the melody strings, where the set of strings has one for all of them."""
    if "diameter_mm" in known.raw["fields"] and (found := melody_diameter(strings)):
        known.raw["fields"]["diameter_mm"] = found
        known.sources["diameter_mm"] = _which(strings)


def _tensions(strings: Reading | None, known: Known) -> None:
    """What the set of strings reckons, unless the force was read later with other tensions."""
    last = known.last
    if strings is None or known.is_as_last or (last and last.taken_at > strings.taken_at):
        return
    for cell in offer_tensions(strings, known.raw):
        known.sources[cell] = _which(strings)


def _from_wheel(wheel: Reading, known: Known) -> None:
    """The lobes of the last reading of the wheel that are sure enough to have a direction."""
    out = wheel.latest.output if wheel.latest is not None else {}
    for cell, amplitude, at, angle in LOBES:
        if out.get(amplitude) is not None and out.get(angle) is not None:
            known.raw["fields"][cell] = f"{out[amplitude]:.4f}"
            known.raw["fields"][at] = f"{out[angle]:.0f}"
            known.sources[cell] = known.sources[at] = _which(wheel)


def _from_reading(
    sheet: Sheet, last: Reading, known: Known, cells: Sequence[str], columns: Sequence[str]
) -> None:
    fields, rows = last.raw.get("fields", {}), last.raw.get("rows", [])
    for key in cells:
        if key in known.raw["fields"] and fields.get(key):
            known.raw["fields"][key] = fields[key]
            known.sources[key] = _which(last)
    mine = known.raw["rows"]
    if columns and len(mine) < len(rows):
        keys = [column.key for column in sheet.columns]
        mine += [dict.fromkeys(keys, "") for _more in range(len(rows) - len(mine))]
    indices = {column.key for column in sheet.columns if column.index}
    for number, (row, was) in enumerate(zip(mine, rows, strict=False), 1):
        for key in columns:
            if key in row and was.get(key) and _is_same_place(row, was, indices - set(columns)):
                row[key] = was[key]
                if key not in indices:
                    known.sources[f"{key}-{number}"] = _which(last)


def _is_same_place(row: Mapping[str, str], was: Mapping[str, str], indices: set[str]) -> bool:
    """Whether both rows bear the same name, unless the name itself is taken over."""
    return all(not row.get(key) or row.get(key) == was.get(key) for key in indices)


def _units_as_chosen(sheet: Sheet, last: Reading, known: Known) -> None:
    """The units, and in which way it was read, as they were chosen last for this instrument."""
    for cell in sheet.cells:
        said = last.raw.get("fields", {}).get(cell.key, "")
        if cell.recalled and said in dict(cell.choices):
            known.raw["fields"][cell.key] = said


def _which(reading: Reading) -> str:
    day = date_format(timezone.localtime(reading.taken_at), "SHORT_DATE_FORMAT")
    said = {"number": reading.number, "day": day}
    return _("as reading %(number)s of %(day)s") % said


def nothing_moved(sheet: Sheet, raw: Mapping[str, Any], as_last: str) -> list[Problem]:
    """Ask, where a sheet filled in “as last time” comes back letter by letter."""
    if not (as_last.isdecimal() and len(as_last) < 12):
        return []
    last = Reading.objects.filter(pk=as_last, gauge=sheet.gauge).first()
    if last is None or last.raw != raw:
        return []
    words = _(
        "Nothing differs from reading %(number)s: was all of it read again, and found the same?"
    )
    first = next((c.key for c in (*sheet.cells, *sheet.columns)), "")
    return [Problem(first, None, words % {"number": last.number})]


def room_of_today(case: Case) -> tuple[Any, Any]:
    """The air of the room as it was last read today in this stay: once a day is enough."""
    since = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    rows = case.readings.present().filter(taken_at__gte=since, room_rh_pct__isnull=False)
    last = rows.order_by("taken_at", "number").values_list("room_t_c", "room_rh_pct").last()
    if last is not None:
        return last
    if timezone.localtime(case.received_at).date() == timezone.localdate():
        return case.room_t_c, case.room_rh_pct
    return None, None
