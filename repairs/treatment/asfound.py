"""What must be on record before an original part is changed for the first time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.instruments.part_models import Part
from repairs.photos.models import Photo
from repairs.procedures.procedure import Procedure, as_found
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import sheet_of, sheets_for
from repairs.treatment.refusals import AsFoundMissingError

# What nobody knows is treated as original: to be wrong that way costs an hour of readings, to be
# wrong the other way costs the only trace of how it was made.
UNTOUCHED = (Part.Originality.ORIGINAL, Part.Originality.UNKNOWN)
# A photo of the intake counts: nothing was touched yet, whoever took it.
AS_FOUND_PHASES = (Photo.Phase.ARRIVAL, Photo.Phase.BEFORE)


def check_as_found(case: Case, procedure: Procedure, parts: Sequence[Part]) -> None:
    """Raise AsFoundMissingError, naming what is missing, for an original or unknown part.

    It is asked for what the procedure changes, and for every chosen part of that sort: free work
    on a tangent changes it as well. A reading that the case does not permit counts: it says so
    itself. Source: common practice of conservation (ECCO Code 2003, art. 10: the record comes
    before the change).
    """
    chosen = {part.key for part in parts}
    also = (key for key, wanted in as_found().items() if chosen & set(wanted["parts"]))
    for touched in dict.fromkeys((*procedure.touches, *also)):
        part = _first_of(case, touched, parts)
        missing = list(_missing(case, touched)) if part is not None else []
        if part is not None and missing:
            raise AsFoundMissingError(
                part=part.label(),
                originality=part.originality_label,
                missing=", ".join(missing),
            )


def first_untouched(case: Case, procedure: Procedure, parts: Sequence[Part]) -> Part | None:
    """The first original or unknown part that the procedure would change for good.

    Where nothing says which part that is, it may be any part of the instrument.
    """
    for touched in procedure.touches:
        part = _first_of(case, touched, parts)
        if part is not None:
            return part
    if procedure.touches:
        return None
    return _first_untouched(case, parts or case.instrument.parts.all())


def _first_of(case: Case, touched: str, parts: Sequence[Part]) -> Part | None:
    """Among the chosen parts, or among all of the instrument when none was chosen."""
    keys = set(as_found()[touched]["parts"])
    among = [part for part in parts if part.key in keys]
    return _first_untouched(case, among or case.instrument.parts.filter(key__in=keys))


def _first_untouched(case: Case, parts: Iterable[Part]) -> Part | None:
    found = next((part for part in parts if part.originality in UNTOUCHED), None)
    if found is not None:
        found.instrument = case.instrument
    return found


def _missing(case: Case, touched: str) -> Iterator[str]:
    wanted = as_found()[touched]
    fitting = {sheet.gauge for sheet in sheets_for(case)}
    taken = set(
        case.readings.present().filter(phase=Reading.Phase.BEFORE).values_list("gauge", flat=True)
    )
    for gauge in wanted["readings"]:
        if gauge in fitting and gauge not in taken:
            yield _("the reading “%(gauge)s” before work") % {"gauge": sheet_of(gauge).label}
    views = {view.slug: view for view in case.instrument.pattern.views}
    shot = set(case.photos.ready().filter(phase__in=AS_FOUND_PHASES).values_list("view", flat=True))
    for slug in wanted["views"]:
        if slug in views and slug not in shot:
            yield _("the photo “%(view)s” as found") % {"view": views[slug]}
