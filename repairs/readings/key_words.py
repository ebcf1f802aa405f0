"""What is proposed for a keyboard, said with its side: a sentence for each way, and no sign."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Advice, Text
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
    details = line.details
    filled: dict[str, Any] = {"amount": None if line.amount is None else abs(line.amount)}
    filled["off"] = off_words(details.get("cents"))
    if details.get("turn") is not None:
        filled["turn"] = abs(details["turn"])
    if "name" in details:
        filled["name"] = str(NAMES.get(details["name"]) or FAMILY_NAMES.get(details["name"], "—"))
    return filled


def and_then(line: Advice, said: str) -> str:
    """The sentence with what is done beside it: a bend, or the skew under two strings."""
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
