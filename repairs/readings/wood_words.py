"""What the gauges of wood and air propose, said in words."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Text

WOOD_ADVICE: Mapping[str, Text] = {
    "crack.glue": _("Glue it closed at its home’s humidity."),
    "crack.splint": _("It will not close: a splint of matching wood, grain in line."),
    "crack.bring_to_target_and_measure_again": _(
        "Bring it slowly to its home’s humidity, then measure again before deciding."
    ),
    "crack.wait": _(
        "Wood of that thickness takes %(least)s to %(most)s days to follow the air: read it again "
        "after %(most)s days, not before."
    ),
    "crack.try_dry": _(
        "It is at its home’s humidity already and waiting changes nothing: try it dry. Where the "
        "edges meet by contact alone it is glued, where light passes it gets a splint."
    ),
    "crack.holds": _(
        "The repair holds: nothing is open beside the glue. Look at it again after the next "
        "heating season."
    ),
    "crack.opened": _(
        "It has opened beside the glue: ask first what pulls at it (air, a bar, the string load), "
        "before it is glued again."
    ),
    "crack.look_closer": _(
        "Not sure whether anything is open beside the glue: look with a loupe in raking light and "
        "press lightly on either side."
    ),
    "crack.not_judged": _("Not judged: figures are missing."),
    "crack.order": _(
        "Strings slack, humidity first, glue last; hide glue below 60 °C, hands and breath away "
        "from its steam."
    ),
    "cleats.places": _("Middles of the cleats, from one end of the crack: %(target)s mm."),
    "cleats.grain": _("Grain of the cleats across the crack, edges bevelled (common practice)."),
    "plate.sank": _("Place %(target)s sank most under the strings: by %(far)s ± %(doubt)s mm."),
    "plate.rose": _("Place %(target)s rose most by the strings: by %(far)s ± %(doubt)s mm."),
    "plate.crept_down": _(
        "Since it was strung place %(target)s sank further, by %(far)s ± %(doubt)s mm."
    ),
    "plate.crept_up": _("Since it was strung place %(target)s rose, by %(far)s ± %(doubt)s mm."),
    "plate.heights": _(
        "The bridge moves with the plate: read the heights of the strings again before anything "
        "is filed or shimmed."
    ),
    "plate.still": _("No place surely moved."),
    "plate.no_edges": _(
        "Read three places over the ribs too, not in a line: without them the seat of the dial’s "
        "bridge cannot be told from the plate."
    ),
    "plate.side_treble": _(
        "The strings push the bridge towards the treble side with %(far)s ± %(doubt)s N: set "
        "their fastening at the tail further to the bass side, until they run straight."
    ),
    "plate.side_bass": _(
        "The strings push the bridge towards the bass side with %(far)s ± %(doubt)s N: set their "
        "fastening at the tail further to the treble side, until they run straight."
    ),
    "movement.grows": _("It grows by %(far)s ± %(doubt)s mm across the grain."),
    "movement.shrinks": _("It shrinks by %(far)s ± %(doubt)s mm across the grain."),
    "movement.not_sure": _(
        "Which way it moves is not sure: %(far)s mm are less than what is not known (± %(doubt)s)."
    ),
    "movement.wait": _(
        "It takes %(least)s to %(most)s days to follow the air: measure after %(most)s days."
    ),
    "clamp.contact": _("Contact only: a plate bends before its crack closes, and glue is starved."),
    "clamp.spread": _("%(count)s clamps, evenly spread, cauls beneath them."),
    "clamp.bead": _("Tighten until a fine even bead of glue comes out all round, no further."),
    "climate.target": _("Ask for %(low)s to %(high)s %% of relative humidity, changing slowly."),
    "climate.owner": _(
        "On the owner’s sheets: %(low)s to %(high)s %%, no wider than the cautious band."
    ),
    "climate.halves": _(
        "In winter (October to March) %(winter_low)s to %(winter_high)s %%, in summer "
        "%(summer_low)s to %(summer_high)s %%."
    ),
    "climate.harm": _(
        "The air of this record has done harm: it vouches for nothing. The target lies about "
        "%(rest)s %%, where the wood was whole."
    ),
    "climate.harm_unknown": _(
        "The air of this record has done harm: it vouches for nothing, and where the wood was "
        "whole is not known. The target is the cautious band."
    ),
    "climate.too_short": _("The record is too short for a target of its own."),
    "climate.short_record": _(
        "The record covers less than the thirteen months that EN 15757 asks for: a first view."
    ),
    "climate.holes": _(
        "The record has holes: %(covered)s of its %(days)s days are covered, the longest hole "
        "lasts %(hole)s days. No thirteen months are whole, as EN 15757 asks: a first view."
    ),
}
