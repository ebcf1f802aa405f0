"""Verbs on the hazards of an instrument: note one, lift one. Nothing is ever taken out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from repairs.audit.actions import deed, record
from repairs.instruments.hazard_models import HazardLifted, HazardNoted
from repairs.instruments.hazards import grouped, hazard_words
from repairs.instruments.models import Instrument
from repairs.instruments.refusals import HazardNotStandingError
from repairs.language.text import in_language
from repairs.people.access import require
from repairs.people.models import User


@dataclass(frozen=True)
class Known:
    """How a hazard came to be known: on what evidence, what was seen, during which stay."""

    evidence: str = HazardNoted.Evidence.SUSPECTED
    note: str = ""
    case_number: str = ""


@deed()
def note_hazard(
    instrument: Instrument, key: str, known: Known, *, by: User, at: dt.datetime
) -> HazardNoted:
    """Put a hazard on the instrument, where it stands until somebody lifts it.

    One that stands already gets another row: the surer evidence beside the first suspicion.
    """
    _hold(instrument)
    return _write(instrument, key, known, by=by, at=at)


def _hold(instrument: Instrument) -> None:
    Instrument.objects.select_for_update().get(pk=instrument.pk)


def _write(
    instrument: Instrument, key: str, known: Known, *, by: User, at: dt.datetime
) -> HazardNoted:
    row = HazardNoted.objects.create(
        instrument=instrument,
        key=key,
        evidence=known.evidence,
        note=known.note,
        case_number=known.case_number,
        noted_at=at,
        noted_by=by,
    )
    record(
        by,
        "hazard.noted",
        instrument,
        at=at,
        hazard=key,
        evidence=known.evidence,
        case=known.case_number,
    )
    return row


@deed()
def note_hazards(
    instrument: Instrument, keys: Collection[str], known: Known, *, by: User, at: dt.datetime
) -> list[str]:
    """Note those of ``keys`` that do not stand yet; return all that stand now, in their order.

    What stands and is not among ``keys`` goes on standing: to leave a tick out is no proof that a
    poison is gone.
    """
    _hold(instrument)
    standing = {one.key for one in grouped(instrument.hazard_rows.standing())}
    for key in keys:
        if key not in standing:
            _write(instrument, key, known, by=by, at=at)
    return [one.key for one in grouped(instrument.hazard_rows.standing())]


@deed()
def lift_hazard(
    instrument: Instrument, key: str, *, because: str, by: User, at: dt.datetime
) -> None:
    """Say that a hazard is no more, and why; every row that speaks of it is lifted at once.

    Only who may judge an instrument (a luthier, the principal) lifts: whoever works under the
    warning must not be the one to take it down. Raises NotAllowedHereError for the others, and
    HazardNotStandingError when it does not stand (any more).
    """
    require(by, "examine")
    _hold(instrument)
    # All of them: one suspicion left standing would keep the warning up against the laboratory's
    # answer.
    rows = list(instrument.hazard_rows.standing().filter(key=key))
    if not rows:
        label = in_language(hazard_words(key)["label"])
        raise HazardNotStandingError(hazard=label, number=instrument.number)
    for row in rows:
        HazardLifted.objects.create(hazard=row, because=because, lifted_at=at, lifted_by=by)
    record(by, "hazard.lifted", instrument, at=at, hazard=key, rows=[row.pk for row in rows])
