"""Hints of the voicing and dog cards, and what may be tried, in words."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Text

CARD_ADVICE: Mapping[str, Text] = {
    "hint.pressure_low": _("The pressure may be low."),
    "hint.pressure_high": _("The pressure may be high."),
    "hint.rosin_excess": _("There may be too much rosin."),
    "hint.pressure_high_at_short_length": _("The pressure may be high for the short lengths."),
    "hint.cotton_loose_or_false_string": _("The cotton may be loose, or the string false."),
    "hint.pressed_too_hard": _("The string may be pressed too hard."),
    "hint.cotton_migrates": _("The cotton migrates."),
    "hint.string_not_square": _("The string may not stand square to the rim."),
    "hint.paper_not_tried": _("The paper strip was not tried."),
    "hint.foot_stuck": _("The dog’s foot may stick."),
    "hint.tirant_slack_or_dog_heavy": _("The tirant may be slack, or the dog heavy."),
    "hint.plate_uneven": _("The plate may be uneven."),
    "hint.tirant_tight_or_dog_light": _("The tirant may be tight, or the dog light."),
    "hint.foot_gap": _("There may be a gap under the foot."),
    "hint.dog_heavy_or_string_thick": _("The dog may be heavy, or the string thick."),
    "hint.tirant_too_steep": _("The tirant may pull too steeply."),
    "try.lower_slot": _("Try: a lower slot."),
    "try.thinner_shim": _("Try: a thinner shim."),
    "try.screw_down": _("Try: the screw a little down."),
    "try.screw_up": _("Try: the screw a little up."),
    "try.thicker_shim": _("Try: a thicker shim."),
    "try.more_cotton": _("Try: more cotton."),
    "try.thinner_cotton": _("Try: thinner cotton."),
    "try.wipe": _("Try: wipe the rim."),
    "try.harder_rosin": _("Try: a harder rosin; mind its dust."),
    "try.move_cotton": _("Try: move the cotton."),
    "try.recotton": _("Try: cotton it anew."),
    "try.recotton_thin": _("Try: cotton it anew, thinly, with the wheel’s turn."),
    "try.change_string": _("Try: another string."),
    "try.move_slot_or_bridge": _("Try: move the slot or the bridge."),
    "try.try_paper": _("Try the paper strip first."),
    "try.trim_foot": _("Try: trim the foot."),
    "try.refit_foot": _("Try: refit the foot."),
    "try.thin_foot": _("Try: a thinner foot."),
    "try.tighten_tirant_eighth": _("Try: the tirant tighter by an eighth of a turn."),
    "try.slacken_tirant": _("Try: slacken the tirant."),
    "try.more_pressure_on_trompette": _("Try: more pressure on the trompette."),
    "try.lighter_dog": _("Try: a lighter dog."),
    "try.heavier_dog": _("Try: a heavier dog."),
    "try.lighter_string": _("Try: a lighter string."),
    "try.retie_nearer_line": _("Try: tie the tirant nearer to the string’s line."),
}
