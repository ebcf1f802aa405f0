"""What gauges say in codes, said in words: prescriptions and refusals."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from repairs.gauges.errors import GaugeInputError
from repairs.readings.parse import cell_name
from repairs.readings.sheets.base import Advice, Sheet, Text

REFUSALS: Mapping[str, Text] = {
    "missing": _("%(place)s is missing. Give it, or leave the whole row out."),
    "not_a_number": _("%(place)s is %(value)s, which is not a number."),
    "not_positive": _("%(place)s is %(value)s; it must be more than 0."),
    "negative": _("%(place)s is %(value)s; it must not be less than 0."),
    "too_small": _("%(place)s is %(value)s; less than %(limit)s is not possible here."),
    "too_big": _(
        "%(place)s is %(value)s; more than %(limit)s is not possible here. Check the unit."
    ),
    "too_few": _("%(place)s has %(value)s values and needs at least %(limit)s."),
    "too_many": _("%(place)s has %(value)s values; more than %(limit)s cannot be used."),
    "unequal": _("%(place)s has %(value)s values and %(other)s has %(limit)s; they must match."),
    "twice": _("%(place)s is %(value)s, which stands there twice. Keep one of the two."),
    "all_equal": _("All values of %(place)s are %(value)s: was the gauge touching?"),
    "unknown": _("%(place)s is %(value)s, which is not known. Known are: %(known)s."),
    "needs_one": _("Give exactly one of %(place)s; %(value)s were given."),
    "no_answer": _("No value of %(place)s answers this: %(why)s."),
}

ADVICE: Mapping[str, Text] = {
    "wheel.leave": _("Leave the wheel as it is."),
    "wheel.recentre": _("Re-centre the wheel; do not cut it."),
    "wheel.return": _("Turn the rim; this cannot be undone."),
    "wheel.recentre_then_return": _(
        "Re-centre first, measure again, then turn the rim; turning cannot be undone."
    ),
    "wheel.not_judged": _("Not judged: steady the dial, clean the rim, and read again."),
    "wheel.shift": _(
        "Move the rim by %(amount)s ± %(u)s mm: tap it in at %(tap)s°, or shim at %(shim)s°, "
        "counted from the crank’s mark."
    ),
    "wheel.cut": _(
        "Depth to turn %(amount)s ± %(u)s mm; %(left)s mm of diameter are left. Every string "
        "loses %(lift)s mm of lift: set every pressure again."
    ),
    "wheel.consent": _(
        "The rim is original or of unknown origin: record its profile as found, and have a "
        "consent of its own before any cut."
    ),
    "wheel.step.clean_rim_and_rosin_again": _("Clean the rim and rosin it again."),
    "wheel.step.acclimatise": _("Let it acclimatise at its target humidity."),
    "wheel.step.measure_again": _("Measure again."),
    "wheel.step.reseat_or_shim": _("Re-seat the hub or shim it."),
    "wheel.step.check_seat_and_bearing": _("Check seat and bearing."),
    "wheel.step.record_profile_as_found": _("Record the profile as found."),
    "wheel.step.consent_to_turning": _("Have the consent to turning."),
    "wheel.step.turn_rim": _(
        "Turn the rim in the playing direction until even powder all round; keep fingers and "
        "sleeves off the blade."
    ),
    "wheel.step.polish_rim": _("Polish the rim with the sense of the grain."),
    "wheel.step.rosin_rim": _("Rosin the rim and let it settle."),
    "wheel.step.set_every_pressure_again": _("Set the pressure of every string again."),
    "keys.move_bridge": _("%(target)s: move the bridge by %(amount)s ± %(u)s mm (+ away)."),
    "keys.move_nut": _("%(target)s: move the nut by %(amount)s ± %(u)s mm (+ to the bridge)."),
    "keys.read_open_string": _("%(target)s: read the open string too; all keys stand off alike."),
    "keys.turn": _(
        "Tangent %(target)s (%(cents)s cents): turn by %(turn)s°, which moves it %(amount)s ± "
        "%(u)s mm along the string and %(lateral)s mm towards it."
    ),
    "keys.move": _(
        "Tangent %(target)s (%(cents)s cents): move it %(amount)s ± %(u)s mm along the string "
        "(+ to the bridge)."
    ),
    "keys.re_pin": _(
        "Tangent %(target)s (%(cents)s cents): %(amount)s ± %(u)s mm is beyond its flag’s "
        "reach; re-pin it."
    ),
    "keys.measure_again": _("Tangent %(target)s (%(cents)s cents): doubtful, measure again."),
    "keys.conflict": _("Key %(target)s: both strings cannot be served at once (%(code)s)."),
}


class _Open(dict[str, Any]):
    """What an earlier version did not write down is left open."""

    def __missing__(self, key: str) -> str:
        return "—"


def advice_words(line: Advice) -> str:
    """Say one line of a prescription; a code without words is shown as it is."""
    words = ADVICE.get(line.code)
    if words is None:
        return " ".join(part for part in (line.code, line.target) if part)
    details = {key: _shown(value) for key, value in line.details.items()}
    filled = _Open(
        target=line.target, amount=_shown(line.amount), u=_shown(line.u), unit=line.unit, **details
    )
    return str(words) % filled


def _shown(value: Any) -> str:
    if value is None:
        return "—"
    if isinstance(value, float):
        places = 3 if abs(value) < 1 else 2 if abs(value) < 10 else 1
        return number_format(round(value, places), places)
    return str(value)


def refusal_words(sheet: Sheet, refusal: GaugeInputError) -> str:
    """Say what the gauge refused, naming the cell as the sheet does."""
    cells = {cell.key: cell for cell in (*sheet.cells, *sheet.columns)}
    cell = cells.get(refusal.field) or cells.get(FIELD_CELLS.get(refusal.field, ""))
    place = cell_name(cell, refusal.row) if cell else _field_words(refusal)
    filled = _Open(place=place, **refusal.details)
    return str(REFUSALS[refusal.code]) % filled


FIELD_CELLS = {
    "readings_mm": "reading",
    "angles_deg": "angle_deg",
    "axial_mm": "axial",
    "keys": "key",
    "temperament": "scl",
}


def _field_words(refusal: GaugeInputError) -> str:
    row = f" ({refusal.row})" if refusal.row is not None else ""
    return f"{refusal.field}{row}"
