"""What air an instrument is advised to live in, as far as its own record tells."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.cases.models import Case
from repairs.language.text import rounded
from repairs.readings.models import Result


@dataclass(frozen=True, kw_only=True)
class Advised:
    """The band that follows from the instrument's own climate log, in words of the language."""

    low: str
    high: str
    rest: str
    days: str
    is_whole_year: bool


def advised_climate(case: Case) -> Advised | None:
    """The target of the last climate log of the instrument, of this stay or an earlier one."""
    last = (
        Result.objects.filter(
            reading__case__instrument=case.instrument_id,
            reading__gauge="climate_log",
            reading__withdrawn_at=None,
        )
        .order_by("-reading__taken_at", "-pk")
        .values_list("output__target", "output__statistics")
        .first()
    )
    if last is None or not last[0]:
        return None
    target, seen = last
    return Advised(
        low=rounded(target["low_rh_pct"], 0),
        high=rounded(target["high_rh_pct"], 0),
        rest=rounded(target["rest_rh_pct"], 0),
        days=rounded(seen["days"], 0),
        is_whole_year=bool(seen["complete"]),
    )
