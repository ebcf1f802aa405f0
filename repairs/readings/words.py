"""What gauges propose in codes, said in words; and which version of a gauge proposed it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.readings.card_words import CARD_ADVICE
from repairs.readings.gauge_refusals import Open
from repairs.readings.sheets.action_cells import KINDS
from repairs.readings.sheets.base import Advice, Text
from repairs.readings.sheets.keyboard import named

ADVICE: Mapping[str, Text] = {
    "wheel.leave": _("Leave the wheel as it is."),
    "wheel.recentre": _("Re-centre the wheel; do not cut it."),
    "wheel.return": _("Turn the rim; this cannot be undone."),
    "wheel.bearing": _("Mend the bearing first, then measure again: a rim follows its axle."),
    "wheel.keep_form": _(
        "Leave the rim as it is: its form is not surely outside of its limit, and it sits on its "
        "axle as well as can be read."
    ),
    "wheel.prepare": _(
        "The form lies outside of its limit. Nothing is cut yet: first what can be undone, then "
        "measure again."
    ),
    "wheel.read_turns": _(
        "The form seems to lie outside of its limit, but the dial’s repeatability is only assumed: "
        "read two or three turns before anything is cut."
    ),
    "wheel.ask_leave": _(
        "The form lies outside of its limit, and all that can be undone was done. This rim is cut "
        "only with the owner’s leave: ask for it."
    ),
    "wheel.not_judged": _("Not judged: steady the dial, clean the rim, and read again."),
    "wheel.need.good": _("The run-out is good by common practice; what follows is refinement."),
    "wheel.need.watch": _("The run-out is one to watch by common practice."),
    "wheel.need.true_it": _("By common practice a wheel with this run-out is to be trued."),
    "wheel.form_in_doubt": _(
        "The form may lie outside of its limit, but not surely: read two or three turns after "
        "this. A doubt is no reason to cut."
    ),
    "wheel.shift": _(
        "Move the rim by %(amount)s ± %(u)s mm: tap it in, towards the axle, at %(tap)s°, or shim "
        "between axle and hub at %(shim)s°. Angles are counted from the crank’s mark in the "
        "playing direction, seen from the crank."
    ),
    "wheel.cut": _(
        "Depth to turn %(amount)s ± %(u)s mm; %(left)s mm of diameter are left. Every string "
        "loses %(lift)s mm of lift: set every pressure again."
    ),
    "wheel.consent": _(
        "The rim is old or of unknown origin: record its profile as found, and have a consent of "
        "its own before any cut."
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
    "action.open_fails": _("The open string already fails: %(why)s."),
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
    "action.ease.tangent": _(
        "Tangent %(target)s, string %(string)s: ease it back by %(amount)s ± %(u)s mm (%(why)s)."
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
    "action.lower.shank": _("Key %(target)s: ease its shank by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.ease.key": _("Key %(target)s: ease it by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.bush.key": _("Key %(target)s: bush it by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.ease.travel": _("Key %(target)s: give it %(amount)s ± %(u)s mm more travel (%(why)s)."),
    "action.ease.wheel_edge.nut_side": _(
        "Ease the wheel’s edge on the side of the nut by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.ease.wheel_edge.bridge_side": _(
        "Ease the wheel’s edge on the side of the bridge by %(amount)s ± %(u)s mm (%(why)s)."
    ),
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
    **CARD_ADVICE,
}
REASONS: Mapping[str, Text] = {
    **KINDS,
    "fixed_double": _("one piece carries both tangents"),
    "not_together": _("the key would no longer meet both at once"),
}
CODED = ("why", "code")  # details that are codes of a gauge


def advice_words(line: Advice) -> str:
    """Say one line of a prescription. A code is never shown: it would tell a reader nothing.

    A kept line may bear a code that only another version proposes; it is said to be so.
    """
    words = ADVICE.get(line.code)
    if words is None:
        return gettext("Another version proposed something that this one has no words for.")
    own = {"target": _target(line), "amount": line.amount, "u": line.u, "unit": line.unit}
    filled = {key: _shown(value) for key, value in (own | dict(line.details)).items()}
    reasons = {key: REASONS.get(filled[key], "—") for key in CODED if key in filled}
    return str(words) % Open(filled | reasons)


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


def version_words(version: str) -> str:
    """“version 1 of the gauge”, of ``wheel 1``: which gauge it is of stands beside it."""
    number = version.rpartition(" ")[2]
    return gettext("version %(number)s of the gauge") % {"number": number} if number else ""
