"""The codes of advice that a card treats by themselves; all others are said in their own words.

The one place that knows them: a gauge that learns a new code needs nothing here, unless its act has
a drawing, or comes out of turn.
"""

from __future__ import annotations

from repairs.readings.cards.base import starts

# Moves of a tangent along its string: the rows of the card of a string.
MOVED = ("keys.turn", "keys.move", "keys.re_pin", "keys.bend")
# What is told of a key, or of the keyboard, and not of one string.
OF_THE_KEY = (
    "keys.conflict",
    "keys.shim",
    "keys.as_found",
    "keys.two_tangents",
    "keys.other_flag",
    "keys.other_shank",
)
# What a reading says of the whole, or guesses: it stands above the lines, nobody ticks it.
SAYINGS = (
    "wheel.re",
    "wheel.need",
    "wheel.form",
    "wheel.consent",
    "wheel.prepare",
    "wheel.ask",
    "wheel.bearing",
    "wheel.keep",
    "hint.",
    "action.first",
    "action.open",
    "action.consent",
    "card.consent",
    "bow.chokes",
    "bow.may",
    "bow.weak",
    "bow.no_lift",
    "crack.order",
    "crack.wait",
    "cleats.grain",
)
# Where a gauge finds nothing to do, there is no card.
NOTHING_TO_DO = (
    "wheel.leave",
    "wheel.not_judged",
    "action.all",
    "bow.serves",
    "force.",
    "crack.not_judged",
    "crack.holds",
    "movement.",
    "plate.",
    "climate.",
)
# In which order the hands go, by the beginning of a code: what moves all strings before what moves
# one tangent, what can be undone before what cannot. Common practice. All else: MIDDLE.
FIRST, MIDDLE, LAST = 0, 5, 9
TURNS: tuple[tuple[str, int], ...] = (
    ("action.raise.nut", 0),
    ("action.lower.nut", 0),
    ("action.raise.bridge", 1),
    ("action.lower.bridge", 1),
    ("action.raise.lid", 2),
    ("action.clean.key", 3),
    ("action.free.key", 3),
    ("action.bush.key", 3),
    ("action.ease.key", 4),
    ("action.lower.shank", 4),
    ("action.raise.tangent", 5),
    ("action.lower.tangent", 5),
    ("action.nearer", 6),
    ("action.bend", 6),
    ("action.away", 6),
    ("action.with_fellow", 6),
    ("action.repin", 7),
    ("action.ease.travel", 7),
    ("action.thin.tangent", 8),
    ("action.lower.wall", 9),
    ("action.ease.wheel_edge", 9),
    ("try.chalk_print", 0),
    ("try.paper_under_foot", 1),
    ("try.wedge_slot", 1),
    ("try.scrape", 2),
    ("try.thin_foot", 2),
    ("try.ease_slot", 2),
    ("try.tighten_tirant", 3),
    ("try.slacken_tirant", 3),
    ("try.retie", 4),
)
# Acts that take wood away.
CUTS = (
    "wheel.cut",
    "wheel.step.turn_rim",
    "action.thin",
    "action.lower.wall",
    "action.ease.wheel_edge",
    "try.scrape",
    "try.thin_foot",
    "try.ease_slot",
)
# How the hands do it, drawn.
DRAWN: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("wheel.shift", ("act/chalk_mark", "act/shim_at", "act/tap_at")),
    ("wheel.step.turn_rim", ("act/turn_rim",)),
    ("wheel.step.rosin_rim", ("act/rosin_wheel",)),
    ("keys.turn", ("act/tangent_to_wheel", "act/tangent_to_nut")),
    ("keys.re_pin", ("act/re_pin",)),
    ("keys.move_bridge", ("act/move_bridge",)),
    ("keys.move_nut", ("act/move_nut",)),
    ("action.raise.nut", ("act/shim_raise",)),
    ("action.raise.bridge", ("act/shim_raise",)),
    ("action.lower.nut", ("act/shim_lower",)),
    ("action.lower.bridge", ("act/shim_lower",)),
    ("action.repin", ("act/re_pin",)),
    ("action.bush.key", ("act/shank_shim",)),
    ("action.ease.key", ("act/shank_ease",)),
    ("action.lower.shank", ("act/shank_ease",)),
    ("crack.glue", ("act/strings_down", "act/glue_warm", "act/clamp_order")),
    ("crack.splint", ("act/splint",)),
    ("crack.bring", ("act/humidify",)),
    ("cleats.places", ("act/cleat",)),
    ("try.lower_slot", ("act/shim_lower",)),
    ("try.thinner_shim", ("act/shim_lower",)),
    ("try.thicker_shim", ("act/shim_raise",)),
    ("try.screw", ("act/screw_height",)),
    ("try.more_cotton", ("act/cotton_with",)),
    ("try.thinner_cotton", ("act/cotton_with",)),
    ("try.recotton", ("act/cotton_with",)),
    ("try.harder_rosin", ("act/rosin_wheel",)),
    ("try.chalk_print", ("measure/dog_foot",)),
    ("try.wedge_slot", ("act/dog_wedge",)),
    ("try.scrape", ("measure/dog_foot", "act/scrape_foot")),
    ("try.thin_foot", ("act/scrape_foot",)),
    ("try.tighten_tirant", ("act/tirant_set",)),
    ("try.slacken_tirant", ("act/tirant_set",)),
)
# Heights of a string at its ends: they move it over every tangent.
ENDS = ("action.raise.nut", "action.lower.nut", "action.raise.bridge", "action.lower.bridge")


def has_card(code: str) -> bool:
    """Whether that code gives the hands something to do."""
    return not starts(code, (*NOTHING_TO_DO, *SAYINGS))


def turn_of(code: str) -> int:
    """The place of an act among the others."""
    return next((rank for start, rank in TURNS if code.startswith(start)), MIDDLE)


def drawings_of(codes: list[str]) -> tuple[str, ...]:
    """The drawings of those acts, each once, in the order of the acts."""
    found = (
        name for code in codes for start, names in DRAWN if code.startswith(start) for name in names
    )
    return tuple(dict.fromkeys(found))
