"""What can be changed at a keybox: a flag as it stands, and one change of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.action.plan import Kind
from repairs.gauges.base.verdict import Word

Verb = Literal["raise", "lower", "turn", "bend", "ease", "repin", "bush", "thin"]


What = Literal["tangent", "nut", "bridge", "wall", "lid", "shank", "wheel_edge", "travel", "key"]


# Every change that can be proposed; the room that says them has words for each.
CHANGES: frozenset[tuple[Verb, What]] = frozenset(
    {
        ("raise", "tangent"),
        ("lower", "tangent"),
        ("turn", "tangent"),
        ("bend", "tangent"),
        ("ease", "tangent"),
        ("repin", "tangent"),
        ("thin", "tangent"),
        ("raise", "nut"),
        ("lower", "nut"),
        ("raise", "bridge"),
        ("lower", "bridge"),
        ("lower", "wall"),
        ("raise", "lid"),
        ("lower", "shank"),
        ("ease", "wheel_edge"),
        ("ease", "travel"),
        ("ease", "key"),
        ("bush", "key"),
    }
)


# What mends a check that fails by itself.
# The string is never moved for one key: its line serves all the others as well. What gives way is
# the piece that can be brought back (a tangent), or the one that is easiest to replace (a shank).
MENDS: Mapping[Kind, tuple[Verb, What]] = {
    "clear_own": ("ease", "tangent"),
    "clear_other": ("ease", "tangent"),
    "flag_low": ("lower", "tangent"),
    "flag_high": ("raise", "tangent"),
    "shank": ("lower", "shank"),
    "wall": ("lower", "wall"),
    "lid": ("raise", "lid"),
    "wheel_edge": ("ease", "wheel_edge"),
    "reach": ("ease", "travel"),
}


@dataclass(frozen=True)
class Flag:
    """How one tangent's flag can be turned and moved; mm, degrees; None: not measured.

    ``offset_mm`` from the pin's axis to the face that meets the string, ``turn_deg`` from where
    the face points straight at the string (above 0: the face leans towards the bridge).
    ``room_mm``: what the flag is higher than the string is thick. ``sounding_mm``: from the face
    to the bridge.
    """

    gap_mm: float
    offset_mm: float | None = None
    turn_deg: float = 0.0
    room_mm: float | None = None
    sounding_mm: float | None = None


@dataclass(frozen=True)
class Prescription:
    """One change. ``by_mm`` is above 0 and goes the way that ``verb`` says.

    ``what``: tangent, nut, bridge, wall, lid, shank, wheel_edge, travel or key. A turned tangent
    has ``turn_deg`` and ``along_mm`` (towards the bridge above 0, which sharpens); both are None
    where the flag's offset is not known. ``gap_change_mm`` is above 0 away from the string.
    ``because`` names the check and ``word`` its verdict. ``also_other_string``: the other tangent
    of the key moves as much, or both strings are no longer met together.
    """

    verb: Verb
    what: What
    key: int | None
    string: int | None
    place: str | None
    by_mm: float
    u_mm: float
    because: Kind
    note: int
    word: Word
    turn_deg: float | None = None
    along_mm: float | None = None
    gap_change_mm: float | None = None
    also_other_string: bool = False

    def __post_init__(self) -> None:
        if (self.verb, self.what) not in CHANGES:
            raise RuntimeError(f"{self.verb} {self.what} is not among the changes")
