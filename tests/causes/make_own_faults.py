"""Writes own_faults.json: forty faults whose raw readings follow from the cause by its physics.

Run by hand: python -m tests.causes.make_own_faults. Nothing here comes from the network but the
table of symptoms: an eccentric wheel is a cosine under the dial, a bridge that is too near sharpens
by 1200·log₂((L − b)/(L − b − x)) less the scale, a string presses with T·h·(1/a + 1/(L − a)).
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Mapping
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
TABLE = json.loads((HERE.parents[1] / "fixtures/causes/wheel_fiddle.json").read_text("utf-8"))
LENGTH, WHEEL, KEYS = 345.0, 25.0, range(1, 24)
TENSION = {"chanterelle_1": 47.8, "trompette": 34.6, "gros_bourdon": 42.0}
Reading = dict[str, Any]


class Shop:
    """One instrument in the shop: how it is read, with the scatter of a hand."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)  # noqa: S311 - invented faults, no secret

    def _turn(self, ecc: float, oval: float, step: float, jitter: float) -> list[float]:
        at, phase = 7, 2.0
        rows = []
        for n in range(24):
            a = math.radians(15 * n)
            r = ecc * math.cos(a - phase) + oval * math.cos(2 * a - 1)
            r += step if n in (at, at + 1) else 0.0
            rows.append(round(r + self.rng.gauss(0, math.hypot(0.004, jitter)), 3))
        return rows

    def wheel(
        self, ecc: float = 0.008, oval: float = 0.003, step: float = 0.0, *, wobble: float = 0.03,
        jitter: float = 0.0,
    ) -> Reading:  # fmt: skip
        """Two turns of the dial, and the side."""
        turns = [self._turn(ecc, oval, step, jitter) for _ in range(2)]
        side = [
            round(wobble * math.cos(math.radians(15 * n)) + self.rng.gauss(0, 0.01), 2)
            for n in range(24)
        ]
        given = {"readings_mm": turns[0], "mean_diameter_mm": 172.0, "gauge_sigma_mm": 0.004,
                 "lift_mm": 0.7, "axial_mm": side}  # fmt: skip
        return {"gauge": "wheel", "given": given, "second_turn_mm": turns[1]}

    def voicing(self, string: str = "chanterelle_1", force: float = 1.35, **said: Any) -> Reading:
        """The card of a string that presses with so many newtons, read to a twentieth."""
        tension = TENSION[string]
        lift = force / (tension * (1 / WHEEL + 1 / (LENGTH - WHEEL)))
        limits = (0.55, 2.2) if string == "chanterelle_1" else (0.4, 2.8)
        paper = "passes" if force < limits[0] else "grabbed" if force > limits[1] else "nipped"
        given = {
            "string": string, "paper": paper, "cotton": "medium", "cotton_sense": "with_wheel",
            "cotton_state": "in_place", "rosin_turns": 2, "lift_mm": round(lift / 0.05) * 0.05,
            "from_bridge_mm": WHEEL, "length_mm": LENGTH, "tension_n": tension, **said,
        }  # fmt: skip
        return {"gauge": "voicing_card", "given": given}

    def correction(
        self, bridge: float = 0.0, nut: float = 0.0, drift: float = 0.0,
        tangents: Mapping[tuple[int, int], float] | None = None, wild: float = 0.0,
    ) -> Reading:  # fmt: skip
        """Cents above the open string of both strings, every key."""
        strings = []
        for number in (0, 1):
            cents = []
            for key in KEYS:
                x = LENGTH * (1 - 2 ** (-key / 12)) + self.rng.gauss(0, 0.085)
                whole = LENGTH - bridge - nut
                c = 1200 * math.log2(whole / (LENGTH - bridge - x))
                c += (tangents or {}).get((number, key), 0.0) + self.rng.gauss(0, 0.7)
                if number == 0:
                    c += drift * key / 23 + self.rng.gauss(0, wild)
                cents.append(round(c, 1))
            strings.append({"name": ("first", "second")[number], "measured_cents": cents})
        given = {"length_mm": LENGTH, "temperament": "equal", "keys": 23, "u_cents": 0.6,
                 "reading": "above_open", "strings": strings}  # fmt: skip
        return {"gauge": "correction", "given": given}

    def action(
        self, gap: float = 1.5, swing: float = 0.5, *, apart: float = 0.0, play: float = 0.2,
        worst_play: float = 0.0, sticks: Mapping[int, str] | None = None, travel: float = 3.5,
    ) -> Reading:  # fmt: skip
        """The finishing check of two strings."""
        keys = []
        for key in KEYS:
            first = max(gap + self.rng.gauss(0, 0.15), 0.2)
            second = first + self.rng.gauss(0, 0.03) + (apart if key == 14 else 0)
            own = worst_play if worst_play and key == 6 else play + self.rng.uniform(-0.05, 0.05)
            returns = (sticks or {}).get(key, "free")
            keys.append({
                "key": key, "at_mm": round(LENGTH * (1 - 2 ** (-key / 12)), 2),
                "gap_mm": [round(first, 2), round(second, 2)], "flag_low_mm": [28.0, 28.0],
                "flag_high_mm": [35.0, 35.0], "thickness_mm": 2.0, "returns": returns,
                "travel_mm": round(travel + self.rng.uniform(-0.2, 0.2) + 0.4 * (gap > 2), 1),
                "side_play_mm": 0.03 if returns != "free" and play < 0.1 else round(own, 2),
            })  # fmt: skip
        string = {"nut_height_mm": 30.5, "bridge_height_mm": 31.5, "diameter_mm": 0.8,
                  "amplitude_mm": swing}  # fmt: skip
        given = {"length_mm": LENGTH, "strings": [string, dict(string)], "keys": keys,
                 "spacing_nut_mm": 9.0, "spacing_bridge_mm": 9.0, "press_mm": 1.0}  # fmt: skip
        return {"gauge": "action", "given": given}

    def dog(self, onset: str = "crisp", **said: Any) -> Reading:
        """The card of the dog."""
        given = {"string": "trompette", "foot_full": True, "play_mm": 0.2, "onset": onset,
                 "pitch_shift_cents": 1.5, **said}  # fmt: skip
        return {"gauge": "dog_card", "given": given}

    def air(self, rh: float) -> Reading:
        """A fortnight of the log."""
        rows = [
            [f"2026-11-{1 + n // 4:02d} {6 * (n % 4):02d}:00", round(rh + self.rng.gauss(0, 2), 1)]
            for n in range(56)
        ]
        return {"gauge": "climate_log", "given": {"rows": rows}}

    def symptoms(self, truth: list[str]) -> tuple[list[str], list[str]]:
        """Heard and denied, by the table; the first symptom of each cause is what it came for."""
        rows = [row for row in TABLE["causes"] if row["key"] in truth]
        heard, denied = [], []
        for symptom in TABLE["symptoms"]:
            key = symptom["key"]
            silent = 1 - TABLE["model"]["leak"]
            for row in rows:
                silent *= 1 - row["symptoms"].get(key, 0)
            main = any(key == max(r["symptoms"], key=r["symptoms"].get) for r in rows)
            if main or self.rng.random() > silent:
                heard.append(key)
            elif self.rng.random() < 0.8:
                denied.append(key)
        return heard, denied


def all_faults(s: Shop) -> list[tuple[list[str], list[Reading], list[dict[str, str]]]]:
    """Truth, readings, findings."""
    tight = {3: "sticks", 9: "sticks", 15: "sticks"}
    seen = lambda term, part: [{"term": term, "part": part}]  # noqa: E731 - a short name
    return [
        (["wheel_eccentric"], [s.wheel(ecc=0.06)], []),
        (["wheel_eccentric"], [s.wheel(ecc=0.19), s.voicing()], []),
        (["wheel_oval"], [s.wheel(oval=0.08), s.air(34)], []),
        (["wheel_oval"], [s.wheel(oval=0.04)], seen("shrinkage_gap", "wheel_core")),
        (["rim_joint_lip"], [s.wheel(step=0.07)], seen("open_joint", "rim_band")),
        (["rim_bead"], [s.wheel(step=0.12)], seen("accretion", "rim_band")),
        (["rim_greasy"], [s.wheel(), s.voicing()], seen("dead_spot", "rim_band")),
        (["wheel_wobbles"], [s.wheel(wobble=0.4)], []),
        (["axle_bent"], [s.wheel(ecc=0.12, wobble=0.35)], seen("bend", "axle")),
        (["bearing_worn"], [s.wheel(jitter=0.03)], seen("metal_wear", "bearing_inner")),
        (["rosin_much"], [s.voicing(rosin_turns=7)], []),
        (["pressure_low"], [s.voicing(force=0.35)], []),
        (["pressure_high"], [s.voicing(force=3.4), s.wheel()], []),
        (["cotton_thin"], [s.voicing(cotton="thin")], []),
        (["cotton_thick"], [s.voicing(cotton="thick")], []),
        (["cotton_loose"], [s.voicing(cotton_state="bunched")], []),
        (["drone_pressed"], [s.voicing("gros_bourdon", 4.2), s.voicing()], []),
        (["string_old"], [s.correction(drift=13)], seen("fray", "chanterelles")),
        (["string_false"], [s.correction(wild=6)], seen("false_string", "chanterelles")),
        (["short_scale"], [s.correction(bridge=2.4)], []),
        (["short_scale"], [s.correction(bridge=1.1), s.action()], []),
        (["tangent_turned"], [s.correction(tangents={(0, 5): 22})], []),
        (["tangent_turned"], [s.correction(tangents={(1, 17): -12}), s.action()], []),
        (["tangents_out_of_line"], [s.correction(tangents={(0, 14): -4, (1, 14): 6}),
                                    s.action(apart=0.4)], []),
        (["rest_gap_wide"], [s.action(gap=3.1)], []),
        (["shank_plays"], [s.action(worst_play=0.6)], []),
        (["shank_swollen"], [s.action(play=0.05, sticks=tight), s.air(57)], []),
        (["shank_dirty"], [s.action(sticks={4: "sticks", 12: "slow", 18: "sticks"})],
         seen("accretion", "keys_lower")),
        (["felt_gone"], [s.action(travel=5.9)], []),
        (["string_swings_wide"], [s.action(swing=1.9)], []),
        (["tirant_slack"], [s.dog("never")], []),
        (["tirant_tight"], [s.dog("always")], []),
        (["dog_gap"], [s.dog("always", foot_full=False)], []),
        (["dog_stuck"], [s.dog("never", play_mm=0.02)], []),
        (["tirant_steep"], [s.dog(pitch_shift_cents=18)], []),
        (["damp_air", "shank_swollen"], [s.air(73), s.action(play=0.05, sticks=tight)], []),
        (["wheel_eccentric", "tirant_slack"], [s.wheel(ecc=0.1), s.dog("never")],
         []),
        (["short_scale", "pressure_high"], [s.correction(bridge=1.9), s.voicing(force=3.0)], []),
        (["wheel_wobbles", "tangent_turned"], [s.wheel(wobble=0.5),
                                               s.correction(tangents={(0, 11): -19})], []),
        (["shank_plays", "cotton_thick"], [s.action(worst_play=0.7), s.voicing(cotton="thick")],
         []),
    ]  # fmt: skip


def main() -> None:
    """Make and write the forty."""
    shop, cases = Shop(11), []
    for number, (truth, readings, findings) in enumerate(all_faults(shop), 1):
        heard, denied = shop.symptoms(truth)
        cases.append({
            "key": f"own{number:02d}_{truth[0]}", "kind": "vielle_french", "truth": truth,
            "heard": heard, "asked_not_heard": denied, "readings": readings,
            "findings": findings, "history": [],
        })  # fmt: skip
    said = json.dumps({"source": "make_own_faults.py", "cases": cases}, separators=(",", ":"))
    (HERE / "own_faults.json").write_text(said, encoding="utf-8")


if __name__ == "__main__":
    main()
