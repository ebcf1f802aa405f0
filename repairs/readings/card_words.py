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
    "hint.dog_tight_in_slot": _("The dog’s tail may bind in its slot."),
    "hint.dog_loose_in_slot": _("The dog’s tail may be loose in its slot."),
    "try.lower_slot": _(
        "Try: the slot deeper by a tenth of a millimetre; the string comes down onto the wheel."
    ),
    "try.thinner_shim": _(
        "Try: a shim thinner by a twentieth of a millimetre; the string comes down onto the wheel."
    ),
    "try.screw_down": _(
        "Try: let the string down onto the wheel with its screw, a quarter of a turn at a time."
    ),
    "try.screw_up": _(
        "Try: raise the string off the wheel with its screw, a quarter of a turn at a time."
    ),
    "try.thicker_shim": _(
        "Try: a shim thicker by a twentieth of a millimetre; the string comes up off the wheel."
    ),
    "try.more_cotton": _("Try: more cotton."),
    "try.thinner_cotton": _("Try: thinner cotton."),
    "try.wipe": _("Try: wipe the rim."),
    "try.harder_rosin": _("Try: a harder rosin; mind its dust."),
    "try.move_cotton": _(
        "Try: move the cotton along the string by a millimetre, back and forth, and listen."
    ),
    "try.recotton": _("Try: cotton it anew."),
    "try.recotton_thin": _("Try: cotton it anew, thinly, with the wheel’s turn."),
    "try.change_string": _("Try: another string."),
    "try.move_slot_or_bridge": _(
        "Try: see which edge is worn. Worn towards the bridge: raise the string at the bridge; "
        "worn towards the nut: lower it there."
    ),
    "try.raise_at_bridge": _(
        "Try: raise the string at the bridge by a tenth of a millimetre; it then leaves the "
        "wheel’s edge on the side of the bridge."
    ),
    "try.lower_at_bridge": _(
        "Try: lower the string at the bridge by a tenth of a millimetre; it then leaves the "
        "wheel’s edge on the side of the nut."
    ),
    "try.try_paper": _("Try the paper strip first."),
    "try.chalk_print": _(
        "Try: chalk the plate, set the dog down and lift it straight up: the foot is white where "
        "it bears."
    ),
    "try.paper_under_foot": _(
        "Try: a paper of a twentieth of a millimetre under the foot: it must be held all round."
    ),
    "try.scrape_foot": _(
        "Try: scrape the foot where it printed, and nowhere else, a twentieth of a millimetre at a "
        "time."
    ),
    "try.scrape_toe": _(
        "Try: scrape the toe of the foot, under the string, a twentieth of a millimetre at a time, "
        "until the whole foot prints."
    ),
    "try.scrape_heel": _(
        "Try: scrape the heel of the foot, at the slot, a twentieth of a millimetre at a time, "
        "until the whole foot prints."
    ),
    "try.scrape_side": _(
        "Try: scrape the side of the foot that printed, a twentieth of a millimetre at a time, "
        "until the whole foot prints."
    ),
    "try.thin_foot": _(
        "Try: pare the foot thinner, a twentieth of a millimetre at a time; or make another dog "
        "beside this one and keep both."
    ),
    "try.wedge_slot": _(
        "Try: glue paper or veneer to one cheek of the slot; the dog must still drop by itself."
    ),
    "try.ease_slot": _(
        "Try: after some days in its own air, widen the slot by a twentieth of a millimetre until "
        "the dog drops by itself."
    ),
    "try.tighten_tirant_eighth": _(
        "Try: tighten the tirant by an eighth of a turn of its peg at a time, until the dog speaks "
        "at the fastest stroke; stop there."
    ),
    "try.slacken_tirant": _(
        "Try: slacken the tirant by an eighth of a turn of its peg at a time, until the dog is "
        "silent at even turning."
    ),
    "try.more_pressure_on_trompette": _(
        "Try: let the trompette down onto the wheel: a thinner shim, or its screw down a quarter "
        "of a turn."
    ),
    "try.lighter_dog": _("Try: a lighter dog."),
    "try.heavier_dog": _("Try: a heavier dog."),
    "try.lighter_string": _("Try: a lighter string."),
    "try.retie_nearer_line": _("Try: tie the tirant nearer to the string’s line."),
    "card.consent": _(
        "Some of what may be tried takes wood away. Try first what can be undone, and listen "
        "again; an original part asks for its owner’s leave."
    ),
}
# What earlier cards proposed; kept rows are said so still.
FORMER_CARD: Mapping[str, Text] = {
    "try.trim_foot": _("Try: trim the foot."),
    "try.refit_foot": _("Try: refit the foot."),
}
