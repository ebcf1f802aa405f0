"""What a case must hold before a paper of it would say anything."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef
from django.utils.functional import Promise

from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.findings.look_models import PartLook
from repairs.findings.models import Finding
from repairs.instruments.kinds import protection_of
from repairs.instruments.part_models import Part
from repairs.language.refusal import WorkshopError
from repairs.language.text import semicolons
from repairs.papers.needs.leaving import blocking_words, mismatch_words
from repairs.papers.needs.refusals import PaperEmptyError
from repairs.photos.models import Photo
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
    said = _said(case)
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


def _said(case: Case) -> dict[str, Any]:
    """Which kinds of rows the case has at all: one query for six questions."""
    mine = {"case": OuterRef("pk")}
    looked = PartLook.objects.filter(state=PartLook.State.LOOKED, **mine)
    setup = Reading.objects.filter(withdrawn_at=None, gauge__in=SETUP_GAUGES, **mine)
    return (
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


def empty(facts: Facts, name: str | Promise, why: str) -> WorkshopError:
    """The refusal of a paper that would say nothing; ``why`` says what to do first."""
    return PaperEmptyError(number=facts.number, paper=name, why=why)
