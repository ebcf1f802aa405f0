"""What the string set and the bowing window propose, in words."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Text

STRING_ADVICE: Mapping[str, Text] = {
    "strings.size": _(
        "String %(target)s: %(wanted)s N are reached by gut, or a string that weighs as much, of "
        "%(amount)s ± %(u)s mm. Thinner beside it: %(thin)s mm (%(thin_n)s N); thicker: "
        "%(thick)s mm (%(thick_n)s N)."
    ),
    "bow.serves": _("The wheel’s pressure serves from the open string up to key %(target)s."),
    "bow.chokes_from": _(
        "From key %(target)s on the wheel presses harder than the shortened string bears: it "
        "chokes, scratches or stays mute there."
    ),
    "bow.may_choke_from": _(
        "From key %(target)s on the pressure lies close to the most that the shortened string "
        "bears; by figures alone it cannot be told."
    ),
    "bow.weak_up_to": _(
        "Up to key %(target)s (0: open) the pressure lies below the least that holds the tone: it "
        "whistles or breaks to the octave."
    ),
    "bow.wipe": _(
        "Wipe the rim and rosin it lightly: with less rosin every key bears more pressure."
    ),
    "bow.rosin": _(
        "Give the rim one or two turns of rosin more, and listen, before anything else."
    ),
    "bow.thinner_cotton": _(
        "Thin the cotton: a thinner one presses less, by about what it is thinner."
    ),
    "bow.more_cotton": _("Add a little cotton: a thicker one presses more."),
    "bow.raise_string": _(
        "Raise the string at the bridge by %(amount)s ± %(u)s mm, by a thicker shim or its screw: "
        "the wheel then lifts it by %(lift)s mm and presses with %(force)s N."
    ),
    "bow.lower_string": _(
        "Lower the string at the bridge by %(amount)s ± %(u)s mm, by a thinner shim or its screw: "
        "the wheel then lifts it by %(lift)s mm and presses with %(force)s N."
    ),
    "bow.no_lift": _(
        "No pressure serves both: the open string wants at least %(least)s N, key %(target)s bears "
        "at most %(most)s N. Rosin and speed move both alike; a lighter string, or a wheel further "
        "from the bridge, makes room for both."
    ),
}
