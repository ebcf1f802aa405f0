"""What a card may mean: rules from the fault table, each a proposal and never a finding.

Source of all rules: the fault table of the trade (``fixtures/causes/wheel_fiddle.json``), common
practice. No force is asked of the luthier: pressure in the shop is a strip of paper and an ear.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.cards.card import DogCard, VoicingCard

UNSET = "not judged unless the house sets a limit"
DEFAULT_LIMITS: Mapping[str, Limit] = {
    "force_n": Limit(None, None, "N", UNSET),
    # Common practice: beyond it the trompette is heard to go out with its own drone when the dog is
    # set.
    "pitch_shift_cents": Limit(-5.0, 5.0, "cents"),
    "onset_rpm": Limit(None, None, "rpm", UNSET),
    # Its tail must drop by itself and not rattle (common practice).
    "play_mm": Limit(0.1, 0.3, "mm"),
}
# A tuner's needle on a buzzing string, and turns counted against a watch (common practice).
U_SHIFT_CENTS = 1.0
U_RPM = 5.0
U_PLAY_MM = 0.03  # feelers of a twentieth, in a slot of wood (common practice)
# Rosin is given two turns at a time; five at once is more than a rim takes up (common practice).
TOO_MUCH_ROSIN_TURNS = 5.0

Code = Literal[
    "pressure_low",
    "pressure_high",
    "rosin_excess",
    "pressure_high_at_short_length",
    "cotton_loose_or_false_string",
    "pressed_too_hard",
    "cotton_migrates",
    "string_not_square",
    "paper_not_tried",
    "foot_stuck",
    "tirant_slack_or_dog_heavy",
    "plate_uneven",
    "tirant_tight_or_dog_light",
    "foot_gap",
    "dog_heavy_or_string_thick",
    "tirant_too_steep",
    "dog_tight_in_slot",
    "dog_loose_in_slot",
]
Deed = Literal[
    "lower_slot",
    "thinner_shim",
    "screw_down",
    "screw_up",
    "thicker_shim",
    "more_cotton",
    "thinner_cotton",
    "wipe",
    "harder_rosin",
    "move_cotton",
    "recotton",
    "recotton_thin",
    "change_string",
    "move_slot_or_bridge",
    "try_paper",
    "raise_at_bridge",
    "lower_at_bridge",
    "chalk_print",
    "paper_under_foot",
    "scrape_foot",
    "scrape_toe",
    "scrape_heel",
    "scrape_side",
    "thin_foot",
    "wedge_slot",
    "ease_slot",
    "tighten_tirant_eighth",
    "slacken_tirant",
    "more_pressure_on_trompette",
    "lighter_dog",
    "heavier_dog",
    "lighter_string",
    "retie_nearer_line",
]


@dataclass(frozen=True)
class Hint:
    """A possible cause. ``fault`` is the row of the fault table, ``because`` the fields read."""

    code: Code
    fault: int
    because: tuple[str, ...]
    try_this: tuple[Deed, ...]


Rule = tuple[bool, Hint]


def _that_hold(rules: Iterable[Rule]) -> tuple[Hint, ...]:
    return tuple(hint for holds, hint in rules if holds)


def voicing_hints(card: VoicingCard) -> tuple[Hint, ...]:
    """Return the possible causes on a string's card, in the order of the fault table (9–16)."""
    return _that_hold([*_of_pressure(card), *_of_cotton(card), _of_paper(card)])


# A string is pressed less by raising it off the wheel, more by letting it down: a shim is changed
# for another, a screw is turned, and a plain slot can only be deepened or lined.
def _lower(card: VoicingCard) -> Deed:
    if card.slot == "shim":
        return "thinner_shim"
    return "screw_down" if card.slot == "screw" else "lower_slot"


def _raise(card: VoicingCard) -> Deed:
    return "screw_up" if card.slot == "screw" else "thicker_shim"


def _of_pressure(card: VoicingCard) -> list[Rule]:
    scratches = card.heard("scratches")
    heavy = card.paper == "grabbed"
    # Grit with a strip that slides is not pressure: the rim is overloaded, or soft in the heat.
    # Row 11 of the fault table before row 10: to raise a string that only has dirt under it would
    # leave it weak once the rim is wiped.
    gritty = bool(scratches) and not heavy
    much = card.rosin_turns is not None and card.rosin_turns > TOO_MUCH_ROSIN_TURNS
    # The force for one lift goes with 1/a + 1/(L − a), so it grows as the keys shorten the string:
    # what speaks open and chokes at the top is pressed too hard for its shortest length.
    high_only = card.sound_open == "speaks" and card.sound_highest in ("chokes", "scratches")
    top = ("sound_open", "sound_highest")
    raised = _raise(card)
    return [
        (
            # A strip of paper between string and rim: nipped at its end it is right, held all along
            # it is too much, let through it is too little. No force gauge stands on a bench.
            card.paper == "passes",
            Hint("pressure_low", 9, ("paper",), (_lower(card), "more_cotton")),
        ),
        (heavy, Hint("pressure_high", 10, ("paper",), (raised,))),
        (
            gritty and much,
            Hint("rosin_excess", 11, (*scratches, "rosin_turns"), ("wipe", "harder_rosin")),
        ),
        (
            high_only,
            Hint("pressure_high_at_short_length", 12, top, (raised, "thinner_cotton")),
        ),
    ]


def _of_cotton(card: VoicingCard) -> list[Rule]:
    # A false string whistles too, and costs more to change than cotton to move: so the cotton comes
    # first.
    whistles = card.heard("whistles")
    # Cotton wound against the turn of the wheel is unwound by it; so it bunches and lets go.
    seen = 1 if card.worn_edge is None else 2
    loose = card.cotton_state == "bunched" or card.cotton_sense == "against_wheel"
    return [
        (
            bool(whistles),
            Hint(
                "cotton_loose_or_false_string",
                13,
                whistles,
                ("move_cotton", "recotton", "change_string"),
            ),
        ),
        # A string that the rim holds too fast is dragged sideways and tightened as it turns.
        (
            card.pitch_follows_crank is True,
            Hint("pressed_too_hard", 14, ("pitch_follows_crank",), (_raise(card), "more_cotton")),
        ),
        (
            loose,
            Hint("cotton_migrates", 15, ("cotton_state", "cotton_sense"), ("recotton_thin",)),
        ),
        # Worn at one edge: the string crosses the rim aslant and bears on that edge alone.
        (
            card.cotton_wear == "one_edge",
            Hint("string_not_square", 16, ("cotton_wear", "worn_edge")[:seen], (_square(card),)),
        ),
    ]


def _square(card: VoicingCard) -> Deed:
    """A string that bears on one edge dives to that side: it is brought up there, or down."""
    if card.worn_edge is None:
        return "move_slot_or_bridge"
    return "raise_at_bridge" if card.worn_edge == "bridge_side" else "lower_at_bridge"


def _of_paper(card: VoicingCard) -> Rule:
    """Nothing is said of the pressure of a poor sound before the strip was tried."""
    poor = card.heard("chokes", "scratches")
    return (
        bool(poor) and card.paper is None,
        Hint("paper_not_tried", 10, (*poor, "paper"), ("try_paper",)),
    )


def dog_hints(card: DogCard, house: Mapping[str, Limit] = DEFAULT_LIMITS) -> tuple[Hint, ...]:
    """Return the possible causes on a dog's card, in the order of the fault table (17–20)."""
    tight, loose = _of_play(card, house)
    rules = [tight, *_of_silence(card), loose, *_of_speed(card, house), _of_tirant(card, house)]
    return _that_hold(rules)


def _of_play(card: DogCard, house: Mapping[str, Limit]) -> tuple[Rule, Rule]:
    """A tail that binds keeps the dog up; one that is loose lets it rattle aside, late and weak."""
    play = play_verdict(card, house)
    outside = play is not None and play.word == "outside"
    least = None if play is None or play.limit is None else play.limit.lower
    low = outside and least is not None and (card.play_mm or 0.0) < least
    return (
        (low, Hint("dog_tight_in_slot", 17, ("play_mm",), ("ease_slot",))),
        (outside and not low, Hint("dog_loose_in_slot", 19, ("play_mm",), ("wedge_slot",))),
    )


def _foot(card: DogCard) -> tuple[Deed, ...]:
    """Look first: chalk and paper say where the foot bears. Then scrape there and nowhere else."""
    look: list[Deed] = []
    if card.foot_print is None:
        look.append("chalk_print")
    if card.foot_paper is None:
        look.append("paper_under_foot")
    where: Mapping[str | None, Deed] = {
        "toe": "scrape_toe",
        "heel": "scrape_heel",
        "side": "scrape_side",
    }
    return (*look, where.get(card.foot_print, "scrape_foot"))


def _foot_fields(card: DogCard, *others: str) -> tuple[str, ...]:
    named = ("foot_print", "foot_paper")
    seen = tuple(name for name in named if getattr(card, name) is not None)
    return (*others, *(seen if card.foot_full is None else ("foot_full", *seen)))


# Whatever the dog does, its foot comes first: a foot that stands on a corner alone makes it stick,
# rattle or answer late, and no setting of the tirant mends that.
def _of_silence(card: DogCard) -> list[Rule]:
    never, always = card.onset == "never", card.onset == "always"
    unfull = card.stands_ill
    return [
        (
            # Rows 17 to 19, foot first: a dog that stands on one corner is not heavy, it is stuck.
            never and unfull,
            Hint("foot_stuck", 17, _foot_fields(card, "onset"), _foot(card)),
        ),
        (
            never and not unfull,
            Hint(
                "tirant_slack_or_dog_heavy",
                17,
                ("onset",),
                ("tighten_tirant_eighth", "more_pressure_on_trompette", "lighter_dog"),
            ),
        ),
        (
            always and unfull,
            Hint("plate_uneven", 18, _foot_fields(card, "onset"), _foot(card)),
        ),
        (
            always and not unfull,
            Hint("tirant_tight_or_dog_light", 18, ("onset",), ("slacken_tirant", "heavier_dog")),
        ),
    ]


def _of_speed(card: DogCard, house: Mapping[str, Limit]) -> list[Rule]:
    rpm = speed_verdict(card, house)
    slow = card.onset == "late" or (rpm is not None and rpm.word == "outside")
    unfull = card.stands_ill
    return [
        (
            slow and unfull,
            Hint("foot_gap", 19, _foot_fields(card, "onset", "onset_rpm"), _foot(card)),
        ),
        (
            slow and not unfull,
            Hint(
                "dog_heavy_or_string_thick",
                19,
                ("onset", "onset_rpm"),
                ("thin_foot", "lighter_string"),
            ),
        ),
    ]


def _of_tirant(card: DogCard, house: Mapping[str, Limit]) -> Rule:
    """A tirant pulls the trompette aside; tied at a steep angle it also tightens it."""
    # The tirant pulls the trompette aside; the steeper its angle, the more of the pull is tension.
    shift = shift_verdict(card, house)
    return (
        shift is not None and shift.word == "outside",
        Hint("tirant_too_steep", 20, ("pitch_shift_cents",), ("retie_nearer_line",)),
    )


def shift_verdict(card: DogCard, house: Mapping[str, Limit]) -> Verdict | None:
    """What the tirant does to the pitch, in cents, against the limit; None if not read."""
    if card.pitch_shift_cents is None:
        return None
    return judge(card.pitch_shift_cents, U_SHIFT_CENTS, house.get("pitch_shift_cents"))


def speed_verdict(card: DogCard, house: Mapping[str, Limit]) -> Verdict | None:
    """The crank's speed at onset, turns a minute, against the house's limit; None if not read."""
    if card.onset_rpm is None:
        return None
    return judge(card.onset_rpm, U_RPM, house.get("onset_rpm"))


def play_verdict(card: DogCard, house: Mapping[str, Limit]) -> Verdict | None:
    """The play of the dog's tail in its slot, in mm, against the limit; None if not read."""
    if card.play_mm is None:
        return None
    return judge(card.play_mm, U_PLAY_MM, house.get("play_mm"))
