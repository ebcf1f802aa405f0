"""What a case must hold before a paper of it would say anything."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef
from django.utils.translation import gettext as _

from repairs.cases.models import Case, HandBack
from repairs.cases.refusals import HandBackError
from repairs.findings.models import Finding, PartLook
from repairs.findings.refusals import NothingExaminedError
from repairs.instruments.kinds import protection_of
from repairs.instruments.models import Part
from repairs.language.refusal import WorkshopError
from repairs.language.text import semicolons
from repairs.papers.needs.leaving import blocking_words, mismatch_words
from repairs.papers.needs.refusals import PaperEmptyError, ReasonForNoPhotoError
from repairs.photos.models import Photo
from repairs.press.models import Paper
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import sheets_for
from repairs.treatment.models import SignOff
from repairs.treatment.part_models import NewPart, RemovedPart

SETUP_GAUGES = ("string_set", "wheel", "correction", "action", "voicing_card", "dog_card")


@dataclass(frozen=True)
class Facts:
    """What is asked of a case to know which papers it could fill."""

    number: str
    is_examined: bool
    may_lack_photo: bool
    is_worked: bool
    is_set_up: bool
    setup_readings: str
    has_bags: bool
    has_protected: bool
    is_going: bool
    blocking: tuple[str, ...]


def facts_of(case: Case) -> Facts:
    """Ask for the facts in a handful of queries."""
    mine = {"case": OuterRef("pk")}
    looked = PartLook.objects.filter(state=PartLook.State.LOOKED, **mine)
    setup = Reading.objects.filter(withdrawn_at=None, gauge__in=SETUP_GAUGES, **mine)
    said = (
        Case.objects.filter(pk=case.pk)
        .annotate(
            looked=Exists(looked),
            found=Exists(Finding.objects.filter(withdrawn_at=None, **mine)),
            photo=Exists(Photo.objects.filter(withdrawn_at=None, state=Photo.State.READY, **mine)),
            signed=Exists(SignOff.objects.filter(intervention__case=OuterRef("pk"))),
            set_up=Exists(setup),
            bags=Exists(RemovedPart.objects.filter(**mine)),
        )
        .values("looked", "found", "photo", "signed", "set_up", "bags", _REASON)
        .get()
    )
    row = case.hand_backs.last()
    return Facts(
        number=case.number,
        is_examined=said["looked"] or said["found"],
        may_lack_photo=said["photo"] or bool(said[_REASON]),
        is_worked=said["signed"],
        is_set_up=said["set_up"],
        setup_readings=_setup_readings(case),
        has_bags=said["bags"],
        has_protected=any(protection_of(key) for key in _materials(case)),
        is_going=row is not None,
        blocking=_blocking(case, row),
    )


def _setup_readings(case: Case) -> str:
    """The readings of a set-up that this kind of instrument knows, in words."""
    fitting = (sheet for sheet in sheets_for(case) if sheet.gauge in SETUP_GAUGES)
    return semicolons(str(sheet.label) for sheet in fitting)


_REASON = "examination__no_photo_reason"


def _blocking(case: Case, row: HandBack | None) -> tuple[str, ...]:
    """What keeps the instrument here, once its return is written down and still to come."""
    if row is None or row.done_at is not None:
        return ()
    return (*blocking_words(case), *mismatch_words(case, row))


def _materials(case: Case) -> list[str]:
    """Materials of the instrument's parts, and of what was put into it in this stay."""
    old = Part.objects.filter(instrument=case.instrument_id).exclude(material="")
    new = NewPart.objects.filter(intervention__case=case, withdrawn_at=None)
    every = old.order_by().values_list("material").union(new.order_by().values_list("material"))
    return [material for (material,) in every]


def lack_of(kind: str, facts: Facts) -> WorkshopError | None:
    """The refusal that stands in the way of that paper, or None when it can be made."""
    return LACKS[kind](facts)


def _condition(facts: Facts) -> WorkshopError | None:
    if not facts.is_examined:
        return NothingExaminedError(number=facts.number)
    return None if facts.may_lack_photo else ReasonForNoPhotoError(number=facts.number)


def _empty(facts: Facts, kind: str, why: str) -> WorkshopError:
    return PaperEmptyError(number=facts.number, paper=Paper.Kind(kind).label, why=why)


def _treatment(facts: Facts) -> WorkshopError | None:
    if facts.is_worked:
        return None
    why = _("no work on it is signed off. Sign off a piece of work first.")
    return _empty(facts, Paper.Kind.TREATMENT_REPORT, why)


def _setup(facts: Facts) -> WorkshopError | None:
    if facts.is_set_up:
        return None
    why = _("nothing of its set-up was read (%(readings)s). Take one of them first.") % {
        "readings": facts.setup_readings
    }
    return _empty(facts, Paper.Kind.SETUP_SHEET, why)


def _care(facts: Facts) -> WorkshopError | None:
    if facts.is_examined or facts.is_worked or facts.is_set_up:
        return None
    why = _("nothing is known of this instrument. Look it over, or take a reading first.")
    return _empty(facts, Paper.Kind.CARE_SHEET, why)


def _removed(facts: Facts) -> WorkshopError | None:
    if facts.has_bags:
        return None
    return _empty(facts, Paper.Kind.REMOVED_PARTS, _("nothing was taken off the instrument."))


def _material(facts: Facts) -> WorkshopError | None:
    if facts.has_protected:
        return None
    why = _(
        "no part is recorded as of a protected material. Note the materials of its parts first."
    )
    return _empty(facts, Paper.Kind.MATERIAL_STATEMENT, why)


def _return(facts: Facts) -> WorkshopError | None:
    if facts.blocking:
        return HandBackError(number=facts.number, why=" ".join(facts.blocking))
    if facts.is_going:
        return None
    why = _("nobody has written down how the instrument goes home.")
    return _empty(facts, Paper.Kind.RETURN_RECEIPT, why)


LACKS: dict[str, Callable[[Facts], WorkshopError | None]] = {
    Paper.Kind.CONDITION_REPORT: _condition,
    Paper.Kind.TREATMENT_REPORT: _treatment,
    Paper.Kind.SETUP_SHEET: _setup,
    Paper.Kind.REMOVED_PARTS: _removed,
    Paper.Kind.MATERIAL_STATEMENT: _material,
    Paper.Kind.CARE_SHEET: _care,
    Paper.Kind.RETURN_RECEIPT: _return,
}
