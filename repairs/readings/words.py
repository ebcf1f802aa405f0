"""What gauges say in codes, said in words: prescriptions and refusals."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from repairs.gauges.base.errors import GaugeInputError
from repairs.language.text import uses_comma
from repairs.readings.card_words import CARD_ADVICE
from repairs.readings.parse import cell_name
from repairs.readings.sheets.action import KINDS
from repairs.readings.sheets.base import Advice, Cell, Sheet, Text
from repairs.readings.sheets.keyboard import named

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
    "leave_one": _(
        "Leave out exactly one of %(place)s: it is the one that is computed. "
        "%(value)s were left out."
    ),
    "scl_count": _(
        "%(place)s is %(value)s. The second line of a scale says how many notes follow, such as 12."
    ),
    "scl_pitch": _(
        "%(place)s is %(value)s. Write cents with a point, such as 386.31, or a ratio, such as 5/4."
    ),
    "not_whole": _("%(place)s is %(value)s; it must be a whole number."),
    "not_rising": _(
        "%(place)s is %(value)s, which does not rise above %(limit)s. Put the notes in rising "
        "order."
    ),
    "contradicts": _(
        "%(place)s is %(value)s, which cannot be with %(other)s %(limit)s. Correct one of the two."
    ),
    "not_a_date": _(
        "%(place)s is %(value)s, which is not a date that can be read. Write it as "
        "2025-01-31 14:00."
    ),
    "no_column": _(
        "No columns for %(place)s were found. The first line must name them; it has: %(known)s."
    ),
    "cells": _(
        "A line has %(value)s cells and %(limit)s are needed (%(place)s). Check what stands "
        "between the cells and in the decimals."
    ),
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
    "wheel.need.good": _("The run-out is good by common practice; what follows is refinement."),
    "wheel.need.watch": _("The run-out is one to watch by common practice."),
    "wheel.need.true_it": _("By common practice a wheel with this run-out is to be trued."),
    "wheel.form_inside": _(
        "Yet the form by itself lies inside the usual limit: once it is re-centred, turning may "
        "not be needed. What is cut does not come back."
    ),
    "wheel.form_outside": _(
        "Yet the form by itself lies outside the usual limit: measure again after this, before "
        "deciding about turning."
    ),
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
    "action.first_fail": _("Key %(target)s is the first that fails: %(why)s."),
    "action.all": _("No key fails up to key %(target)s."),
    "action.raise.tangent": _(
        "Tangent %(target)s, string %(string)s: raise it by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.lower.tangent": _(
        "Tangent %(target)s, string %(string)s: lower it by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.turn.tangent": _(
        "Tangent %(target)s, string %(string)s: turn it by %(turn)s° to move its face by "
        "%(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.turn_some.tangent": _(
        "Tangent %(target)s, string %(string)s: turn it until its face has moved by %(amount)s ± "
        "%(u)s mm (%(why)s)."
    ),
    "action.repin.tangent": _(
        "Tangent %(target)s, string %(string)s: re-pin it, %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.raise.nut": _(
        "String %(string)s: raise its place at the nut by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.lower.nut": _(
        "String %(string)s: lower its place at the nut by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.raise.bridge": _(
        "String %(string)s: raise its place at the bridge by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.lower.bridge": _(
        "String %(string)s: lower its place at the bridge by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.lower.wall": _("Ease the wall’s slot by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.raise.lid": _("Raise the lid or thin it by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.ease.shank": _("Key %(target)s: ease its shank by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.ease.key": _("Key %(target)s: ease it by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.bush.key": _("Key %(target)s: bush it by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.ease.travel": _("Key %(target)s: give it %(amount)s ± %(u)s mm more travel (%(why)s)."),
    "action.ease.wheel_edge": _("Ease the wheel’s edge by %(amount)s ± %(u)s mm (%(why)s)."),
    "crack.glue": _("Glue it closed at its home’s humidity."),
    "crack.splint": _("It will not close: a splint of matching wood, grain in line."),
    "crack.bring_to_target_and_measure_again": _(
        "Bring it slowly to its home’s humidity, then measure again before deciding."
    ),
    "crack.not_judged": _("Not judged: figures are missing."),
    "crack.order": _(
        "Strings slack, humidity first, glue last; hide glue below 60 °C, hands and breath away "
        "from its steam."
    ),
    "cleats.places": _("Middles of the cleats, from one end of the crack: %(target)s mm."),
    "cleats.grain": _("Grain of the cleats across the crack, edges bevelled (common practice)."),
    "climate.target": _("Ask for %(low)s to %(high)s %% of relative humidity, changing slowly."),
    "climate.too_short": _("The record is too short for a target of its own."),
    "climate.short_record": _(
        "The record covers less than the thirteen months that EN 15757 asks for: a first view."
    ),
    "keys.conflict": _("Key %(target)s: both strings cannot be served at once (%(code)s)."),
}


ADVICE = {**ADVICE, **CARD_ADVICE}


REASONS: Mapping[str, Text] = {
    **KINDS,
    "fixed_double": _("one piece carries both tangents"),
    "not_together": _("the key would no longer meet both at once"),
}
CODED = ("why", "code")  # details that are codes of a gauge


class _Open(dict[str, Any]):
    """What an earlier version did not write down is left open."""

    def __missing__(self, key: str) -> str:
        return "—"


def advice_words(line: Advice) -> str:
    """Say one line of a prescription; a code without words is shown as it is."""
    words = ADVICE.get(line.code)
    if words is None:
        return " ".join(part for part in (line.code, line.target) if part)
    own = {"target": _target(line), "amount": line.amount, "u": line.u, "unit": line.unit}
    filled = {key: _shown(value) for key, value in (own | dict(line.details)).items()}
    reasons = {key: REASONS.get(filled[key], filled[key]) for key in CODED if key in filled}
    return str(words) % _Open(filled | reasons)


def _target(line: Advice) -> str:
    """What a line is about; of a key, its string is said in the reader's language."""
    if not line.code.startswith("keys."):
        return line.target
    string, comma, key = line.target.partition(", ")
    return f"{named(string)}{comma}{key}"


def _shown(value: Any) -> str:
    if value is None:
        return "—"
    if isinstance(value, float):
        places = 3 if abs(value) < 1 else 2 if abs(value) < 10 else 1
        return number_format(round(value, places), places)
    return str(value)


def refusal_words(sheet: Sheet, refusal: GaugeInputError) -> str:
    """Say what the gauge refused, naming the cell as the sheet does."""
    cell = cell_of(sheet, refusal.field)
    place = cell_name(cell, refusal.row) if cell else _field_words(refusal)
    details = {key: _localised(value) for key, value in refusal.details.items()}
    return str(REFUSALS[refusal.code]) % _Open(details | {"place": place})


def cell_of(sheet: Sheet, field: str) -> Cell | None:
    """The cell of the sheet in which that input of the gauge is typed, if there is one.

    A gauge says what an input belongs to in brackets: “measured_cents (first)”.
    """
    cells = {cell.key: cell for cell in (*sheet.cells, *sheet.columns)}
    name, _bracket, owner = field.partition(" (")
    keys = (FIELD_CELLS.get(name, ""), name, owner.removesuffix(")"))
    return next((cells[key] for key in keys if key in cells), None)


def _localised(value: object) -> object:
    words = str(value)
    if uses_comma() and PLAIN_DECIMAL.fullmatch(words):
        return words.replace(".", ",")
    return value


FIELD_CELLS = {
    "readings_mm": "reading",
    "angles_deg": "angle_deg",
    "axial_mm": "axial",
    "keys": "key",
}
FIELD_WORDS: Mapping[str, Text] = {
    "The range of readings_mm": _("The range of the dial"),
}
PLAIN_DECIMAL = re.compile(r"-?\d+\.\d+")


def _field_words(refusal: GaugeInputError) -> str:
    row = f" ({refusal.row})" if refusal.row is not None else ""
    return f"{FIELD_WORDS.get(refusal.field, refusal.field)}{row}"
