"""What is left to say of an instrument's parts: by group, the inside apart from the outside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

from django.utils.text import capfirst

from repairs.cases.models import Case
from repairs.findings.look_models import PartLook
from repairs.instruments.part_models import Part
from repairs.storage.fixtures import read_fixture

Side = Literal["outside", "inside"]
SIDES: tuple[Side, ...] = ("outside", "inside")


@cache
def _inside() -> frozenset[str]:
    return frozenset(read_fixture("vocabulary/inside.json")["parts"])


def side_of(part: Part) -> Side:
    """Whether the part is seen without opening the instrument or looking through its holes."""
    return "inside" if part.key in _inside() else "outside"


@dataclass(frozen=True)
class Group:
    """Parts under one heading on one side: those still open, and what was said of the others."""

    name: str
    open: tuple[str, ...]
    looked: tuple[str, ...]
    not_examined: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class HalfOfRest:
    """One side of the instrument, with all that a tap on its key would certify."""

    side: Side
    groups: tuple[Group, ...]

    @property
    def count(self) -> int:
        """How many parts are still open."""
        return sum(len(group.open) for group in self.groups)


def rest_of(case: Case, parts: Sequence[Part]) -> list[HalfOfRest]:
    """Outside and inside of the instrument, each by group, in the order of the parts tree."""
    looks = {look.part_id: look for look in case.looks.all()}
    headings = _headings(parts)
    halves = []
    for side in SIDES:
        mine = [part for part in parts if side_of(part) == side]
        names = list(dict.fromkeys(headings[part.pk] for part in mine))
        groups = (
            _group(name, [part for part in mine if headings[part.pk] == name], looks)
            for name in names
        )
        halves.append(HalfOfRest(side, tuple(groups)))
    return [half for half in halves if half.groups]


def _headings(parts: Sequence[Part]) -> Mapping[int, str]:
    """For each part's id, the name of the group at the top of its tree."""
    found: dict[int, str] = {}
    name = ""
    for part in parts:
        if part.depth == 0:
            name = str(capfirst(part.label()))
        found[part.pk] = name
    return found


def _group(name: str, parts: Sequence[Part], looks: Mapping[int, PartLook]) -> Group:
    """The parts below a heading; the heading itself is named only where nothing stands below it."""
    parts = [part for part in parts if part.depth > 0] or parts
    left = [part.label() for part in parts if part.pk not in looks]
    said = [(part.label(), looks[part.pk]) for part in parts if part.pk in looks]
    return Group(
        name,
        tuple(left),
        tuple(label for label, look in said if look.state == PartLook.State.LOOKED),
        tuple((label, look.why) for label, look in said if look.state != PartLook.State.LOOKED),
    )
