"""What the cards of a string's voicing and of the dog say of causes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from repairs.gauges.causes.net import Value

Plain = Mapping[str, Any]
U_FORCE = 0.07  # of the force: lift to 0.05 mm, tension to 3 %
SMALL_LIFT_MM = 0.05
ROLES = (("tromp", "trompette"), ("bourdon", "drone"), ("mouche", "drone"), ("drone", "drone"))


def role_of(string: str) -> str:
    """chanterelle, trompette or drone, by the name that was written on the card."""
    name = string.lower()
    return next((role for word, role in ROLES if word in name), "chanterelle")


def voicing_values(_given: Plain, out: Plain) -> list[Value]:
    """Force, or the strip of paper where no force is known; cotton and rosin."""
    card = out.get("card") or {}
    name = str(card.get("string") or "")
    role, found = role_of(name), []
    force = out.get("force_n")
    if force:
        verdict = out.get("force_verdict") or {}
        u = min(float(verdict.get("u") or U_FORCE * force), 0.1 * force + SMALL_LIFT_MM)
        found.append(Value(f"force_{role}_n", float(force), u, name))
    elif card.get("paper"):
        found.append(Value(f"paper_{role}", str(card["paper"]), 0.0, name))
    if card.get("cotton"):
        found.append(Value("cotton", str(card["cotton"]), 0.0, name))
    hold = _hold(card)
    if hold:
        found.append(Value("cotton_hold", hold, 0.0, name))
    if card.get("rosin_turns") is not None:
        found.append(Value("rosin_turns", float(card["rosin_turns"]), 0.3, name))
    return found


def _hold(card: Plain) -> str:
    sense, state = card.get("cotton_sense"), card.get("cotton_state")
    if not sense and not state:
        return ""
    against, bunched = sense == "against_wheel", state == "bunched"
    if against and bunched:
        return "both"
    if against:
        return "against"
    return "bunched" if bunched else "good"


def card_heard(out: Plain) -> set[str]:
    """Symptoms that a card notes by itself; an answer given to the question itself comes first."""
    card = out.get("card") or {}
    role = role_of(str(card.get("string") or ""))
    heard = {
        "high_keys_mute": role == "chanterelle" and card.get("sound_highest") == "chokes",
        "drone_pitch_speed": role == "drone" and card.get("pitch_follows_crank") is True,
        "cotton_one_edge": card.get("cotton_wear") == "one_edge",
    }
    return {symptom for symptom, is_so in heard.items() if is_so}


def dog_values(_given: Plain, out: Plain) -> list[Value]:
    """Onset, foot, play, pitch and tirant of the dog."""
    card = out.get("card") or {}
    found = [
        Value(name, float(card[name]), u)
        for name, u in (("play_mm", 0.02), ("onset_rpm", 4.0), ("tirant_turns", 0.06))
        if card.get(name) is not None
    ]
    if card.get("pitch_shift_cents") is not None:
        found.append(Value("pitch_shift_cents", abs(float(card["pitch_shift_cents"])), 1.0))
    if card.get("onset"):
        found.append(Value("onset", str(card["onset"])))
    if card.get("foot_full") is not None:
        found.append(Value("foot_full", str(card["foot_full"]).lower()))
    return found
