"""The photo by which a case or an instrument is known in lists: a front, else the first taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.db.models import Case as Choice
from django.db.models import F, IntegerField, OuterRef, Q, QuerySet, Subquery, Value, When, Window
from django.db.models.functions import RowNumber
from django.urls import reverse

from repairs.cases.models import Case
from repairs.instruments.models import Instrument
from repairs.photos.models import FRONT, THUMB_PX, Photo


def with_faces(cases: QuerySet[Case]) -> QuerySet[Case]:
    """Cases with the number of the photo each is known by, joined into the query of the list."""
    face = _fronts_first(Photo.objects.filter(case=OuterRef("pk")), "number")
    return cases.annotate(
        face_stay=F("number"),
        face_number=Subquery(face.values("number")[:1]),
    )


def with_faces_of_stays(instruments: QuerySet[Instrument]) -> QuerySet[Instrument]:
    """The same for instruments, from the newest stay that has a photo."""
    face = _fronts_first(
        Photo.objects.filter(case__instrument=OuterRef("pk")), "-case__received_at", "number"
    )
    return instruments.annotate(
        face_stay=Subquery(face.values("case__number")[:1]),
        face_number=Subquery(face.values("number")[:1]),
    )


def face_of_row(row: Case | Instrument, longest_px: int = THUMB_PX) -> str:
    """Where the picture of a row of such a list is fetched; empty when it was never shot."""
    stay, photo = row.face_stay, row.face_number  # type: ignore[union-attr]
    return "" if photo is None else _address(stay, photo, longest_px)


def faces_of(
    cases: Iterable[str] = (), instruments: Iterable[str] = (), longest_px: int = THUMB_PX
) -> Mapping[str, str]:
    """Where the picture of each is fetched, by the number of the case or instrument; one query."""
    wanted, known = set(cases), set(instruments)
    here = Q(case__number__in=wanted) | Q(case__instrument__number__in=known)
    photos = _fronts_first(Photo.objects.filter(here), "-case__received_at", "number")
    # One row a stay, however many photos lie in it.
    place = Window(RowNumber(), partition_by=[F("case")], order_by=[_front(), F("number").asc()])
    first = photos.annotate(place=place).filter(place=1)
    rows = first.values_list("case__number", "case__instrument__number", "number")
    found: dict[str, str] = {}
    for stay, instrument, photo in rows:
        for number in wanted.intersection([stay]) | known.intersection([instrument]):
            found.setdefault(number, _address(stay, photo, longest_px))
    return found


def _fronts_first(photos: QuerySet[Photo], *order: str) -> QuerySet[Photo]:
    shown = photos.filter(withdrawn_at=None, state=Photo.State.READY)
    return shown.order_by(_front(), *order)


def _front() -> Choice:
    return Choice(When(view=FRONT, then=Value(0)), default=Value(1), output_field=IntegerField())


def _address(case_number: str, photo_number: int, longest_px: int = THUMB_PX) -> str:
    return reverse("photos:picture", args=[case_number, photo_number, longest_px])
