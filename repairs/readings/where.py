"""Where to lay the gauge: which drawings stand beside a value to be typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.conf import settings

from repairs.instruments.pattern import Kind
from repairs.screens.drawings import families_of
from repairs.storage.fixtures import read_fixture

FOLDERS = ("measure", "act")


@dataclass(frozen=True)
class Where:
    """What is measured, and the drawings that show where and how."""

    label: str
    drawings: tuple[str, ...]


@cache
def places() -> Mapping[str, Mapping[str, Sequence[str]]]:
    """Names of drawings by gauge and by the key of its cell or column."""
    found: Mapping[str, Mapping[str, Sequence[str]]] = read_fixture("drawings/places.json")
    return found


@cache
def drawings_at(gauge: str, key: str) -> tuple[str, ...]:
    """The drawings for a value of a gauge, as ``{% drawing %}`` takes them; often none."""
    return tuple(_in_its_folder(name) for name in places().get(gauge, {}).get(key, ()))


def drawings_for(kind: Kind, gauge: str, key: str) -> tuple[str, ...]:
    """Those of them that show a kind of instrument, or something that all kinds have."""
    return tuple(name for name in drawings_at(gauge, key) if kind.fits(families_of(name)))


def _in_its_folder(name: str) -> str:
    """A name with its folder: how to measure, or an act whose picture shows the place too."""
    root = Path(settings.FIXTURES) / "drawings"
    return next(
        (f"{one}/{name}" for one in FOLDERS if (root / one / f"{name}.svg").is_file()), name
    )
