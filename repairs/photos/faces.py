"""The photo by which a case or an instrument is known in lists: a front, else the first taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.db.models import Case as Choice
from django.db.models import IntegerField, OuterRef, QuerySet, Subquery, Value, When
from django.urls import reverse

from repairs.cases.models import Case
from repairs.instruments.models import Instrument
from repairs.photos.models import FRONT, THUMB_PX, Photo


def faces_of_cases(numbers: Iterable[str]) -> Mapping[str, str]:
    """Where the small picture of each case is fetched, by its number; one query for all."""
    face = _fronts_first(Photo.objects.filter(case=OuterRef("pk")), "number")
    cases = Case.objects.filter(number__in=set(numbers))
    rows = cases.annotate(face=Subquery(face.values("number")[:1])).exclude(face=None)
    return {number: _address(number, face) for number, face in rows.values_list("number", "face")}


def faces_of_instruments(numbers: Iterable[str], longest_px: int = THUMB_PX) -> Mapping[str, str]:
    """The same by the instrument's number, from its newest stay that has a photo; one query."""
    face = _fronts_first(
        Photo.objects.filter(case__instrument=OuterRef("pk")), "-case__received_at", "number"
    )
    here = Instrument.objects.filter(number__in=set(numbers)).annotate(
        face=Subquery(face.values("number")[:1]),
        stay=Subquery(face.values("case__number")[:1]),
    )
    rows = here.exclude(face=None).values_list("number", "stay", "face")
    return {number: _address(stay, face, longest_px) for number, stay, face in rows}


def _fronts_first(photos: QuerySet[Photo], *order: str) -> QuerySet[Photo]:
    front = Choice(When(view=FRONT, then=Value(0)), default=Value(1), output_field=IntegerField())
    shown = photos.filter(withdrawn_at=None, state=Photo.State.READY)
    return shown.order_by(front, *order)


def _address(case_number: str, photo_number: int, longest_px: int = THUMB_PX) -> str:
    return reverse("photos:picture", args=[case_number, photo_number, longest_px])
