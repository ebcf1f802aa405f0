"""What is proposed for a keyboard, said with its side: a sentence for each way, and no sign."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.language.text import rounded
from repairs.readings.sheets.base import Advice, Text
from repairs.readings.sheets.keyboard_advice import WHOLE_DEG
from repairs.readings.sheets.keyboard_cells import FAMILY_NAMES, NAMES, STRINGS

# An amount above 0 goes from the nut towards the bridge, or nearer to the string.
KEY_ADVICE: Mapping[str, Text] = {
    "keys.turn": _(
        "Tangent %(target)s, %(off)s: turn it by %(turn)s°, so that its face goes %(amount)s ± "
        "%(u)s mm towards the wheel."
    ),
    "keys.move": _(
        "Tangent %(target)s, %(off)s: bring its face %(amount)s ± %(u)s mm towards the wheel."
    ),
    "keys.re_pin": _(
        "Tangent %(target)s, %(off)s: re-pin it %(amount)s ± %(u)s mm towards the wheel; no turn "
        "of its flag reaches so far."
    ),
    "keys.bend": _(
        "Tangent %(target)s: bring it %(amount)s mm nearer to its string by bending it, so that "
        "the key meets both strings at once."
    ),
    "keys.shim": _(
        "Key %(target)s: bring it %(amount)s mm nearer to the strings at rest, by a shim of that "
        "thickness under its stop."
    ),
    "keys.measure_again": _(
        "Tangent %(target)s, %(off)s: doubtful; read it again before it is touched."
    ),
    "keys.move_bridge": _(
        "%(target)s: move the bridge %(amount)s ± %(u)s mm towards the tailpiece."
    ),
    "keys.move_nut": _("%(target)s: move the nut %(amount)s ± %(u)s mm towards the wheel."),
    "keys.read_open_string": _(
        "%(target)s: all keys stand off alike, by %(amount)s ± %(u)s cents. Read the open string "
        "first; move nothing until then."
    ),
    "keys.press_lighter": _(
        "%(target)s: sharp as pressing makes it, by %(amount)s ± %(u)s cents in the middle of the "
        "keyboard, and not as a wrong bridge does. Read again with the lightest press before "
        "anything is moved."
    ),
    "keys.as_found": _(
        "As it stands, the keyboard is tuned to this temperament: %(name)s (%(pct)s %%). For "
        "another, %(moves)s tangents would have to be moved: nothing is, unless that is asked for."
    ),
    "keys.two_tangents": _(
        "Key %(target)s: one piece carries both tangents and cannot serve both strings; %(amount)s "
        "%(unit)s beyond the limit are left. Two tangents that turn by themselves would serve."
    ),
    "keys.other_flag": _(
        "Key %(target)s: %(amount)s mm beyond the limit are left between tangent and string. A "
        "tangent with another flag would serve."
    ),
    "keys.other_shank": _(
        "Key %(target)s: %(amount)s cents beyond the limit are left; the tangent’s place lies "
        "beyond its shank. Another shank would serve."
    ),
}
BACK: Mapping[str, Text] = {
    "keys.turn": _(
        "Tangent %(target)s, %(off)s: turn it by %(turn)s°, so that its face goes %(amount)s ± "
        "%(u)s mm towards the nut."
    ),
    "keys.move": _(
        "Tangent %(target)s, %(off)s: bring its face %(amount)s ± %(u)s mm towards the nut."
    ),
    "keys.re_pin": _(
        "Tangent %(target)s, %(off)s: re-pin it %(amount)s ± %(u)s mm towards the nut; no turn of "
        "its flag reaches so far."
    ),
    "keys.bend": _(
        "Tangent %(target)s: take it %(amount)s mm away from its string by bending it, so that the "
        "key meets both strings at once."
    ),
    "keys.shim": _(
        "Key %(target)s: take it %(amount)s mm further from the strings at rest: so much off its "
        "stop or the felt under it."
    ),
    "keys.move_bridge": _("%(target)s: move the bridge %(amount)s ± %(u)s mm towards the wheel."),
    "keys.move_nut": _("%(target)s: move the nut %(amount)s ± %(u)s mm towards the head."),
}
CLOCKWISE = _("%(said)s That is clockwise, seen from above into the open keybox.")
AGAINST = _("%(said)s That is anticlockwise, seen from above into the open keybox.")
NEARER = _("%(said)s Then bend it %(bend)s mm nearer to its string.")
AWAY = _("%(said)s Then bend it %(bend)s mm away from its string.")
ALIKE = _("%(said)s This serves the %(other)s as well.")
FURTHER = _("%(said)s Set it askew: there, %(skew)s mm further that way than at the %(other)s.")
LESS_FAR = _("%(said)s Set it askew: there, %(skew)s mm less far that way than at the %(other)s.")


def sentence_of(line: Advice) -> Text | None:
    """The sentence for the way that a line goes; None where this version has none."""
    if (line.amount or 0.0) < 0.0 and line.code in BACK:
        return BACK[line.code]
    return KEY_ADVICE.get(line.code)


def own_words(line: Advice) -> dict[str, Any]:
    """What fills the sentence beside the plain details."""
    details, places = line.details, places_of(line.u, line.unit)
    filled: dict[str, Any] = {
        "amount": None if line.amount is None else rounded(abs(line.amount), places),
        "u": None if line.u is None else rounded(line.u, places),
        "off": off_words(details.get("cents")),
    }
    if details.get("turn") is not None:
        filled["turn"] = turn_words(details["turn"])
    if "name" in details:
        filled["name"] = str(NAMES.get(details["name"]) or FAMILY_NAMES.get(details["name"], "—"))
    return filled


def places_of(u: float | None, unit: str) -> int:
    """How many places a figure is said with: to its doubt, and never finer than a tool shows.

    Source: JCGM 100:2008, 7.2.6 (one or two digits of u). Tenths of a cent, hundredths of a
    millimetre; tenths where the doubt is as large.
    """
    if unit == "cents":
        return 0 if u is not None and u >= 3.0 else 1
    return 1 if u is not None and u >= 0.3 else 2


def turn_words(turn_deg: float) -> str:
    """An angle to the degree: no hand turns a tangent to half of one (common practice)."""
    return rounded(abs(turn_deg), 0 if abs(turn_deg) >= WHOLE_DEG else 1)


def sense_of(code: str, details: Mapping[str, Any], *, left_handed: bool) -> int:
    """1 for clockwise, seen from above; −1 for the other sense; 0 where nothing is turned.

    A key pushes its tangent across the strings towards the player, and the tangent’s face points
    at its string: with head and keys as a right-handed instrument has them, a face that goes for
    the wheel turns against the clock, from whichever side one looks down.
    """
    turn = details.get("turn") or 0.0
    to_head = code.endswith("_to_head.tangent")
    if not turn or not (to_head or code == "keys.turn" or code.endswith("_to_bridge.tangent")):
        return 0
    to_wheel = turn > 0 and not to_head
    return 1 if to_wheel == left_handed else -1


def with_sense(line: Advice, *, left_handed: bool) -> Advice:
    """The line with the sense in which its tangent turns on that instrument."""
    sense = sense_of(line.code, line.details, left_handed=left_handed)
    return replace(line, details={**line.details, "sense": sense}) if sense else line


def and_then(line: Advice, said: str) -> str:
    """The sentence with what is done beside it: its sense, a bend, the skew under two strings."""
    if sense := line.details.get("sense"):
        said = str(CLOCKWISE if sense > 0 else AGAINST) % {"said": said}
    bend, other = line.details.get("bend"), line.details.get("other")
    if bend and line.code != "keys.bend":
        words = NEARER if bend > 0 else AWAY
        said = str(words) % {"said": said, "bend": number_format(abs(bend), 2)}
    if other:
        skew = line.details.get("skew")
        words = ALIKE
        if skew:
            words = FURTHER if skew * (line.amount or 0.0) > 0 else LESS_FAR
        said = str(words) % {
            "said": said,
            "other": STRINGS.get(other, other),
            "skew": number_format(abs(skew or 0.0), 2),
        }
    return said


def off_words(cents: float | None) -> str:
    """“3.2 cents flat”; a note that is right is said to be so."""
    if cents is None:
        return "—"
    if round(abs(cents), 1) == 0.0:
        return gettext("in tune")
    form = gettext("%(cents)s cents flat") if cents < 0 else gettext("%(cents)s cents sharp")
    return form % {"cents": number_format(abs(cents), 1)}
