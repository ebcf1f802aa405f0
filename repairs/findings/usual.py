"""The damages that a part usually shows: offered first when one is noted, never claimed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from repairs.findings.vocabulary import terms
from repairs.instruments.kinds import materials
from repairs.instruments.pattern import Kind
from repairs.storage.fixtures import read_fixture

MOST = 5  # one line of a phone more would push the severity out of sight


@cache
def _usual() -> Mapping[str, Any]:
    found: Mapping[str, Any] = read_fixture("vocabulary/usual_damage.json")
    return found


@cache
def _of_parts() -> Mapping[str, Sequence[str]]:
    return {part: row["terms"] for row in _usual()["parts"] for part in row["parts"]}


def usual_terms(kind: Kind, part: str, material: str = "") -> list[str]:
    """Keys of the damages to offer first for a part of that key, the likeliest first.

    A part that the vocabulary does not name is judged by its ``material`` (what was seen, else what
    is usual in its kind); terms that do not fit the families of the kind are left out.
    """
    found = _of_parts().get(part)
    if found is None:
        pattern = next((one for one in kind.parts if one.key == part), None)
        seen = material or (pattern.material if pattern else "")
        group = materials().get(seen, {}).get("group", "")
        found = _usual()["groups"].get(group, _usual()["rest"])
    known = terms()
    fitting = (term for term in found if kind.fits(known[term].get("families", ())))
    return list(fitting)[:MOST]
