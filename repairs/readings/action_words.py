"""What the finishing check of the keybox proposes, in words: each sentence says which way."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Text

TANGENT_ADVICE: Mapping[str, Text] = {
    "action.raise.tangent": _(
        "Tangent %(target)s, string %(string)s: raise it by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.lower.tangent": _(
        "Tangent %(target)s, string %(string)s: lower it by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.nearer.tangent": _(
        "Tangent %(target)s, string %(string)s: bring its face %(amount)s ± %(u)s mm nearer to "
        "its string (%(why)s)."
    ),
    "action.away.tangent": _(
        "Tangent %(target)s, string %(string)s: take its face %(amount)s ± %(u)s mm away from "
        "its string (%(why)s)."
    ),
    "action.nearer_to_bridge.tangent": _(
        "Tangent %(target)s, string %(string)s: turn its face by %(turn)s° towards the bridge; "
        "this brings it %(amount)s ± %(u)s mm nearer to its string (%(why)s)."
    ),
    "action.nearer_to_head.tangent": _(
        "Tangent %(target)s, string %(string)s: turn its face by %(turn)s° towards the head; "
        "this brings it %(amount)s ± %(u)s mm nearer to its string (%(why)s)."
    ),
    "action.away_to_bridge.tangent": _(
        "Tangent %(target)s, string %(string)s: turn its face by %(turn)s° towards the bridge; "
        "this takes it %(amount)s ± %(u)s mm away from its string (%(why)s)."
    ),
    "action.away_to_head.tangent": _(
        "Tangent %(target)s, string %(string)s: turn its face by %(turn)s° towards the head; "
        "this takes it %(amount)s ± %(u)s mm away from its string (%(why)s)."
    ),
    "action.bend_nearer.tangent": _(
        "Tangent %(target)s, string %(string)s: bend it, so that its face comes %(amount)s ± "
        "%(u)s mm nearer to its string (%(why)s); a turn would shift its note."
    ),
    "action.bend_away.tangent": _(
        "Tangent %(target)s, string %(string)s: bend it, so that its face goes %(amount)s ± "
        "%(u)s mm away from its string (%(why)s); a turn would shift its note."
    ),
    "action.with_fellow.tangent": _(
        "Tangent %(target)s, string %(string)s: move the other tangent of this key as far and the "
        "same way, so that both strings are still met together."
    ),
    "action.repin_nearer.tangent": _(
        "Tangent %(target)s, string %(string)s: no turn does it; re-pin it %(amount)s ± %(u)s mm "
        "nearer to its string (%(why)s)."
    ),
    "action.repin_away.tangent": _(
        "Tangent %(target)s, string %(string)s: no turn does it; re-pin it %(amount)s ± %(u)s mm "
        "away from its string (%(why)s)."
    ),
    "action.repin_up.tangent": _(
        "Tangent %(target)s, string %(string)s: its flag is too small for the string; re-pin it "
        "%(amount)s ± %(u)s mm higher (%(why)s)."
    ),
    "action.repin_down.tangent": _(
        "Tangent %(target)s, string %(string)s: its flag is too small for the string; re-pin it "
        "%(amount)s ± %(u)s mm lower (%(why)s)."
    ),
    "action.thin.tangent": _(
        "Tangent %(target)s, string %(string)s: it is touched on both sides; thin its back, on "
        "the side away from its string, by %(amount)s ± %(u)s mm (%(why)s)."
    ),
}
# A stop goes before a habit: the tangent is brought nearer all the same, and that is said.
GAP_LEFT = _(
    "%(said)s Its gap at rest is then %(gap)s mm only, less than the usual %(least)s mm: try "
    "whether its own string still swings free of it when the wheel is turned fast."
)
ACTION_ADVICE: Mapping[str, Text] = {
    "action.first_fail": _("Key %(target)s is the first that fails: %(why)s."),
    "action.open_fails": _("The open string already fails: %(why)s."),
    "action.all": _("No key fails up to key %(target)s."),
    "action.consent": _(
        "Some of what follows takes wood away or makes a new hole. Do first what can be undone, "
        "and read again; an original part asks for its owner’s leave."
    ),
    **TANGENT_ADVICE,
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
    "action.lower.wall": _("Deepen the wall’s slot by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.raise.lid": _("Raise the lid by %(amount)s ± %(u)s mm (%(why)s)."),
    "action.lower.shank": _(
        "Key %(target)s: take %(amount)s ± %(u)s mm off the top of its shank, under the string "
        "(%(why)s)."
    ),
    "action.clean.key": _(
        "Key %(target)s: wipe its shank and its walls dry, let the keybox come to its air, and try "
        "it again."
    ),
    "action.free.key": _(
        "Key %(target)s: if it still does not fall back by itself, give its shank %(amount)s mm "
        "more room in its walls."
    ),
    "action.ease.key": _(
        "Key %(target)s: give its shank %(amount)s ± %(u)s mm more room in its walls (%(why)s)."
    ),
    "action.bush.key": _(
        "Key %(target)s: take %(amount)s ± %(u)s mm of its play away by bushing it (%(why)s)."
    ),
    "action.ease.travel": _(
        "Key %(target)s: let it go %(amount)s ± %(u)s mm further in (%(why)s)."
    ),
    "action.ease.wheel_edge.nut_side": _(
        "Lower the wheel’s edge on the side of the nut by %(amount)s ± %(u)s mm (%(why)s)."
    ),
    "action.ease.wheel_edge.bridge_side": _(
        "Lower the wheel’s edge on the side of the bridge by %(amount)s ± %(u)s mm (%(why)s)."
    ),
}
# What lines of the first version said; they are kept, and not proposed again.
FORMER_ACTION: Mapping[str, Text] = {
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
    "action.ease.wheel_edge": _("Ease the wheel’s edge by %(amount)s ± %(u)s mm (%(why)s)."),
}
