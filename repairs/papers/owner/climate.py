"""What air an instrument is advised to live in, as far as its own record tells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from repairs.cases.models import Case
from repairs.findings.by_air import BY_AIR, OPENED
from repairs.findings.models import Finding
from repairs.gauges.base.verdict import Limit
from repairs.gauges.climate.target import DEFAULT_LIMITS, Ends, for_owner
from repairs.language.text import rounded
from repairs.readings.actions import house_limit
from repairs.readings.models import Result

GAUGE = "climate_log"


@dataclass(frozen=True, kw_only=True)
class Advised:
    """The band that an owner is handed, in words of the language; never wider than the house’s
    cautious band. ``winter_…`` and ``summer_…`` are empty where both halves are asked the same.

    ``from_record`` is False where the air of the record has done harm: it vouches for nothing.
    """

    low: str
    high: str
    rest: str
    days: str
    is_whole_year: bool
    from_record: bool
    winter: tuple[str, str] | None = None
    summer: tuple[str, str] | None = None


def cautious_band() -> Limit:
    """The most that is handed to an owner: the house’s own, or common practice."""
    own = house_limit(GAUGE, "owner_rh_pct")
    usual = DEFAULT_LIMITS["owner_rh_pct"]
    return Limit(own.lower, own.upper, usual.unit, own.source) if own else usual


def cautious_words() -> tuple[str, str]:
    """Both ends of the cautious band in words of the language."""
    ends = for_owner((0.0, 100.0), cautious_band()) or (0.0, 0.0)
    return rounded(ends[0], 0), rounded(ends[1], 0)


def advised_climate(case: Case) -> Advised | None:
    """The target of the last climate log of the instrument, of this stay or an earlier one.

    A crack or lifting on record that the air caused forbids what rests on that history alone; the
    cautious band is handed out then, about where the wood was whole if the reading says so.
    """
    last = (
        Result.objects.filter(
            reading__case__instrument=case.instrument_id,
            reading__gauge=GAUGE,
            reading__withdrawn_at=None,
        )
        .order_by("-reading__taken_at", "-pk")
        .values_list("output__target", "output__statistics")
        .first()
    )
    if last is None or not last[0]:
        return None
    target, seen = last
    cautious = cautious_band()
    if "history" in target["basis"] and not _glued(target, seen) and _harmed(case):
        low, high = for_owner((0.0, 100.0), cautious) or (0.0, 0.0)
        target = {**target, "rest_rh_pct": (low + high) / 2.0}
        return _advised((low, high), target, seen, cautious, from_record=False)
    ends = (target["low_rh_pct"], target["high_rh_pct"])
    told = target["basis"] not in ("where_whole", "cautious")
    return _advised(ends, target, seen, cautious, from_record=told)


def _glued(target: Mapping[str, Any], seen: Mapping[str, Any]) -> bool:
    """Was it glued since? The wood rests then where it was glued, and not at the mean."""
    return bool(target["rest_rh_pct"] != seen["mean_rh_pct"])


def _harmed(case: Case) -> bool:
    """Is something on record of this instrument that the air opened?"""
    return (
        Finding.objects.present()
        .filter(case__instrument=case.instrument_id, cause=BY_AIR, term__in=OPENED)
        .exists()
    )


def _advised(
    ends: Ends,
    target: Mapping[str, Any],
    seen: Mapping[str, Any],
    cautious: Limit,
    *,
    from_record: bool,
) -> Advised:
    low, high = for_owner(ends, cautious) or ends
    rest = min(max(target["rest_rh_pct"], low), high)
    halves = [
        _words(for_owner((half[0], half[1]), cautious))
        for half in (target.get("winter"), target.get("summer"))
        if from_record and half
    ]
    are_two = len(halves) == 2 and halves[0] != halves[1]
    return Advised(
        low=rounded(low, 0),
        high=rounded(high, 0),
        rest=rounded(rest, 0),
        days=rounded(seen["days"], 0),
        is_whole_year=bool(seen["complete"]),
        from_record=from_record,
        winter=halves[0] if are_two else None,
        summer=halves[1] if are_two else None,
    )


def _words(ends: Sequence[float] | None) -> tuple[str, str]:
    low, high = ends or (0.0, 0.0)
    return rounded(low, 0), rounded(high, 0)
