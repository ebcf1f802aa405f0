"""What a gauge calls its inputs, said as a luthier would: for refusals that have no cell to name.

A gauge names its inputs as the file of the `gauge` command does (``mean_diameter_mm``). A reader of
the screen never typed that name, so every one has its words here; a test walks the gauges' sources
and fails on a name without.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Text

FIELDS: Mapping[str, Text] = {
    "acclimatised": _("whether it has settled at its target humidity"),
    "after_deg": _("angle of the string behind the bridge"),
    "amplitude_mm": _("how far an open string swings, to one side"),
    "angle_deg": _("angle"),
    "angles_deg": _("angle"),
    "area_mm2": _("glued area"),
    "at_mm": _("place of the tangent"),
    "axial_mm": _("side dial"),
    "bars": _("bars across the crack"),
    "basis": _("what the moves are counted from"),
    "both_cents": _("cents of both strings together"),
    "break_deg": _("break angle at the bridge"),
    "bridge_height_mm": _("height of the string at the bridge"),
    "c_per_pct": _("movement of the wood per percent of moisture"),
    "cents": _("cents read"),
    "cleaned": _("whether the rim was freed of rosin"),
    "clamp_n": _("force of one clamp"),
    "core_material": _("material of the core"),
    "core_mm": _("diameter of the core"),
    "cotton": _("cotton"),
    "cotton_sense": _("winding of the cotton"),
    "cotton_state": _("state of the cotton"),
    "cotton_wear": _("wear of the cotton"),
    "crack_mm": _("length of the crack"),
    "csv": _("the logger’s file"),
    "day_first": _("order of day and month"),
    "density_kg_m3": _("density"),
    "diameter_mm": _("diameter"),
    "direction": _("direction of the grain"),
    "e_gpa": _("stiffness along the grain"),
    "ecc_mm": _("eccentricity"),
    "edge_drop_mm": _("how much lower the wheel’s edge lies"),
    "emc_pct": _("moisture of the wood"),
    "f_hz": _("first tone when tapped in its middle"),
    "firm_cents": _("cents read with a firm press"),
    "fixed_double": _("keys with tangents of one piece"),
    "flag_high_mm": _("flag, upper edge"),
    "flag_low_mm": _("flag, lower edge"),
    "form_limit_mm": _("limit of the roundness"),
    "foot_full": _("foot on the plate"),
    "foot_paper": _("paper under the foot"),
    "foot_print": _("print of the foot in chalk"),
    "friction": _("friction lost from sticking to slipping"),
    "from_bridge_mm": _("wheel, from the bridge"),
    "from_mc_pct": _("moisture of the wood now"),
    "from_mm": _("beginning of the lid"),
    "from_nut_mm": _("place of the tangent from the nut"),
    "air_did_harm": _("a crack or lifting that this air caused"),
    "faces": _("the air reaches"),
    "repair": _("it has been repaired"),
    "wanted_emc_pct": _("moisture that is wanted"),
    "wanted_rh_pct": _("humidity that brings the wanted moisture"),
    "places": _("places"),
    "place": _("place"),
    "kind": _("where it lies"),
    "slack_mm": _("dial, strings slack"),
    "pitch_mm": _("dial, at pitch"),
    "later_mm": _("dial, months later"),
    "x_mm": _("along"),
    "y_mm": _("across"),
    "before_deg": _("break angle before the bridge"),
    "side_deg": _("turn to the side"),
    "side_to": _("side to which the strings turn"),
    "reading_mm": _("reading"),
    "bridge_sink_mm": _("sinking of the bridge’s place"),
    "from_rh_pct": _("humidity in which it has settled"),
    "gap_mm": _("gap at rest"),
    "gauge_sigma_mm": _("repeatability of the dial"),
    "glued_at_rh_pct": _("humidity at which a crack was glued since"),
    "gravity": _("specific gravity"),
    "height_mm": _("height"),
    "held": _("held at its edges"),
    "input": _("the input"),
    "key": _("key"),
    "keys": _("key"),
    "leave": _("the owner’s leave"),
    "leave_tir_mm": _("run-out to leave alone"),
    "length_mm": _("speaking length"),
    "lid": _("lid"),
    "lift_mm": _("lift at the wheel"),
    "limits": _("house limits"),
    "low_rh_pct": _("lowest humidity to ask for"),
    "lower": _("lower end of the limit"),
    "upper": _("upper end of the limit"),
    "source": _("source of the limit"),
    "mass_g": _("mass"),
    "mass_g_m": _("mass per metre"),
    "material": _("material"),
    "mc_pct": _("moisture of the wood"),
    "mean_diameter_mm": _("diameter of the wheel"),
    "measured_cents": _("cents read"),
    "most_turn_deg": _("furthest turn of a tangent"),
    "nut_height_mm": _("height of the string at the nut"),
    "offset_mm": _("offset of a flag from its pin"),
    "on_hook": _("hanging on its hook"),
    "onset": _("onset of the buzz"),
    "onset_rpm": _("crank speed at onset"),
    "open_cents": _("what the tuner shows of the open string"),
    "open_step": _("step of the scale of the open string"),
    "paper": _("strip of paper"),
    "part": _("the part that moves"),
    "partials": _("number of partials"),
    "parts": _("the parts that move"),
    "pitch_follows_crank": _("pitch following the crank"),
    "pitch_hz": _("pitch"),
    "pitch_shift_cents": _("pitch shift when the tirant moves"),
    "play_mm": _("play in its slot"),
    "playing_deg": _("tilt of the keys in playing"),
    "points": _("places on the circle"),
    "press_mm": _("how far a key pushes the string"),
    "pressure_high_mpa": _("greatest pressure"),
    "pressure_high_psi": _("greatest pressure"),
    "pressure_low_mpa": _("least pressure"),
    "pressure_low_psi": _("least pressure"),
    "pressure_mpa": _("pressure"),
    "psi": _("pressure"),
    "pull_mn": _("pull that just moves the key along its level slide"),
    "pulls_mn": _("pull that just moves the key along its level slide"),
    "push_pull_mm": _("play of the axle"),
    "push_mm": _("how far a key pushes the string"),
    "ratio": _("ratio of seat and form"),
    "reading": _("what the cents are counted from"),
    "readings": _("dial"),
    "readings_mm": _("dial"),
    "resistance_kg_s": _("resistance of the bridge"),
    "recentred": _("whether the rim was centred"),
    "returns": _("free return of the key"),
    "rh_pct": _("humidity of the air"),
    "retemper": _("move it to this temperament, even if it is found in another"),
    "rim": _("origin of the rim"),
    "rim_height_mm": _("top of the wheel’s rim"),
    "ring_angle_deg": _("angle of the growth rings"),
    "room": _("gap at rest that the swinging string wants"),
    "room_mm": _("gap at rest that the swinging string wants"),
    "rosin_kind": _("rosin"),
    "rosin_turns": _("turns of rosin given"),
    "row": _("row of the file"),
    "rows": _("rows of the record"),
    "second_mm": _("dial, second turn"),
    "screw_turns": _("turns of the screw"),
    "shank_height_mm": _("height of the shank"),
    "shim_mm": _("shim"),
    "shrinkage_pct": _("total shrinkage of the wood"),
    "side_play_mm": _("side play"),
    "sigma_mm": _("repeatability of the dial"),
    "sign": _("sense of the dial"),
    "size_mm": _("size of a cleat"),
    "slides_deg": _("tilt at which a key begins to slide"),
    "slot": _("how the height is set"),
    "sound": _("sound heard"),
    "sound_highest": _("sound at the highest key"),
    "sound_octave": _("sound at the octave"),
    "sound_open": _("sound of the open string"),
    "spacing_bridge_mm": _("between the strings at the bridge"),
    "spacing_nut_mm": _("between the strings at the nut"),
    "spacing_mm": _("between the strings"),
    "speaking_deg": _("angle of the speaking length"),
    "species": _("wood"),
    "start_deg": _("angle of the first reading from the crank’s mark"),
    "step_mm": _("step between sizes"),
    "stop": _("stop"),
    "stops": _("stops"),
    "string": _("string"),
    "strings": _("strings"),
    "t_c": _("temperature"),
    "temperament": _("temperament wanted"),
    "tension_kgf": _("tension"),
    "tension_n": _("tension"),
    "thickness_mm": _("thickness"),
    "third_mm": _("dial, third turn"),
    "time": _("time"),
    "rh": _("humidity"),
    "tirant_turns": _("tirant, turns from silence to onset"),
    "to_mc_pct": _("moisture of the wood at its home"),
    "to_mm": _("end of the lid"),
    "to_rh_pct": _("humidity of its home"),
    "to_t_c": _("temperature of its home"),
    "total_mm": _("whole length of the string"),
    "travel_mm": _("travel"),
    "turn_deg": _("turn of the tangent"),
    "turned": _("what the angles are"),
    "turns_per_min": _("turns of the crank per minute"),
    "u": _("uncertainty"),
    "value": _("value"),
    "whole_at_rh_pct": _("humidity in which the wood was still whole"),
    "used_to_rh_pct": _("humidity it is used to"),
    "walls": _("walls of the keybox"),
    "wanted_n": _("wanted tension"),
    "wheel": _("wheel"),
    "wheel_mm": _("diameter of the wheel"),
    "width_mm": _("width"),
    "wood": _("wood"),
    "worn_edge": _("edge at which the cotton is worn"),
    "youngs_gpa": _("Young’s modulus"),
}
# Several inputs of which one is to be given or left out; and what is no input by itself.
PHRASES: Mapping[str, Text] = {
    "break_deg, speaking_deg with after_deg": _(
        "the break angle, or the angles on both sides of the bridge"
    ),
    "tension_n, length_mm, pitch_hz and mass (diameter_mm with density_kg_m3)": _(
        "tension, speaking length, pitch and mass (diameter with density)"
    ),
    "The range of readings_mm": _("The range of the dial"),
    "The range of axial_mm": _("The range of the side dial"),
    "The range of second_mm": _("The range of the second turn"),
    "The range of third_mm": _("The range of the third turn"),
    "scl": _("the scale"),
    "scl: description and number of notes": _("the scale’s description and its number of notes"),
    "scl (characters)": _("the text of the scale"),
    "scl (notes)": _("the notes of the scale"),
    "temperament (cents)": _("the notes of the temperament"),
}
RANGE = "The range of "
OF_ROW = re.compile(r" of key row \w+$")


def field_words(field: str) -> str:
    """The input in the reader’s language.

    ``u_`` before a name is its uncertainty, ``limits.`` a limit of the house, a list with commas
    several inputs, and brackets after it the string that it belongs to. A name that no gauge has,
    such as a heading of the reader’s own file, stays as it is.
    """
    field = OF_ROW.sub("", field)
    if field in PHRASES:
        return str(PHRASES[field])
    if field in FIELDS:
        return str(FIELDS[field])
    if field.startswith("u_") and field[2:] in FIELDS:
        return gettext("uncertainty: %(what)s") % {"what": FIELDS[field[2:]]}
    if field.startswith(RANGE):
        return gettext("range: %(what)s") % {"what": field_words(field.removeprefix(RANGE))}
    if field.startswith("limits."):
        return str(FIELDS["limits"])
    name, _bracket, _owner = field.partition(" (")
    if name in FIELDS:
        return str(FIELDS[name])
    if ", " in field:
        return ", ".join(field_words(one) for one in field.split(", "))
    return field
