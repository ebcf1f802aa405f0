"""What gauges propose in codes, said in words; and which version of a gauge proposed it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.language.text import rounded
from repairs.readings.action_words import ACTION_ADVICE, FORMER_ACTION, GAP_LEFT
from repairs.readings.card_words import CARD_ADVICE, FORMER_CARD
from repairs.readings.force_words import FORCE_ADVICE, HEARD, force_own
from repairs.readings.gauge_refusals import Open
from repairs.readings.key_words import KEY_ADVICE, and_then, own_words, sentence_of
from repairs.readings.sheets.action_cells import KINDS
from repairs.readings.sheets.base import Advice, Text
from repairs.readings.sheets.keyboard_cells import named
from repairs.readings.string_words import STRING_ADVICE
from repairs.readings.wood_words import WOOD_ADVICE

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
    **ACTION_ADVICE,
    **STRING_ADVICE,
    **FORCE_ADVICE,
    "keys.conflict": _("Key %(target)s: both strings cannot be served at once (%(code)s)."),
    **KEY_ADVICE,
    **CARD_ADVICE,
    **WOOD_ADVICE,
}
# Codes that kept rows may bear, of versions before this one: said as they were, never proposed.
FORMER: Mapping[str, Text] = {**FORMER_ACTION, **FORMER_CARD}
REASONS: Mapping[str, Text] = {
    **KINDS,
    **HEARD,
    "fixed_double": _("one piece carries both tangents"),
    "not_together": _("the key would no longer meet both at once"),
}
CODED = ("why", "code")  # details that are codes of a gauge


def advice_words(line: Advice) -> str:
    """Say one line of a prescription. A code is never shown: it would tell a reader nothing.

    A kept line may bear a code that only another version proposes; it is said to be so.
    """
    words = sentence_of(line) or ADVICE.get(line.code) or FORMER.get(line.code)
    if words is None:
        return gettext("Another version proposed something that this one has no words for.")
    own = {"target": _target(line), "amount": line.amount, "u": line.u, "unit": line.unit}
    mine = own_words(line) if line.code.startswith("keys.") else force_own(line)
    places = line.details.get("places")
    whole = own | dict(line.details) | mine
    filled = {key: _shown(value, places) for key, value in whole.items()}
    reasons = {key: REASONS.get(filled[key], "—") for key in CODED if key in filled}
    return _gap_said(line, and_then(line, str(words) % Open(filled | reasons)))


def _gap_said(line: Advice, said: str) -> str:
    """The sentence with the gap at rest that is left, where that is less than usual."""
    left = line.details.get("gap_left")
    if left is None:
        return said
    gaps = {"gap": rounded(left, 2), "least": rounded(line.details["gap_least"], 1)}
    return str(GAP_LEFT) % {"said": said, **gaps}


# Half of the last digit that a hand follows: a hundredth of a millimetre, a tenth of a cent.
LEAST: Mapping[str, float] = {"mm": 0.005, "cents": 0.05, "°": 0.05}
LEAST_SHOWN = 0.0005  # below it three digits read as nothing


def is_worth_doing(line: Advice) -> bool:
    """Whether a line asks for a move that a hand can make; one that names no amount always does.

    “Raise it by 0.000 mm” is no instruction, whatever gauge it comes from.
    """
    if line.amount is None or "%(amount)s" not in str(ADVICE.get(line.code, "")):
        return True
    return abs(line.amount) >= LEAST.get(line.unit, LEAST_SHOWN)


def _target(line: Advice) -> str:
    """What a line is about; of a key, its string is said in the reader's language."""
    if not line.code.startswith("keys."):
        return line.target
    string, comma, key = line.target.partition(", ")
    return f"{named(string)}{comma}{key}"


def _shown(value: Any, places: int | None = None) -> str:
    """A detail in the reader's way of writing numbers, with the digits that its line asks for."""
    if value is None:
        return "—"
    if isinstance(value, float):
        if places is None:
            places = 3 if abs(value) < 1 else 2 if abs(value) < 10 else 1
        return number_format(round(value, places), places)
    return str(value)


def version_words(version: str) -> str:
    """“version 1 of the gauge”, of ``wheel 1``: which gauge it is of stands beside it."""
    number = version.rpartition(" ")[2]
    return gettext("version %(number)s of the gauge") % {"number": number} if number else ""
