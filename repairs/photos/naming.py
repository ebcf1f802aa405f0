"""Which view a photo shows, said in bulk: photo after photo by one tap, or all in one go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from repairs.cases.models import Case
from repairs.instruments.pattern import View
from repairs.photos.models import Photo, views_taken

OF_ONE_PHOTO = ("damage",)  # several photos may show one: never proposed by order


@dataclass(frozen=True)
class Offer:
    """A view that may be tapped: whether a photo has it already, and whether it is next."""

    view: View
    is_taken: bool
    is_next: bool


@dataclass(frozen=True)
class Naming:
    """The photo whose view is asked for, the views to tap, and what the order would propose.

    ``left`` counts the photos without a view, this one and those after it.
    """

    photo: Photo
    offers: Sequence[Offer]
    left: int
    proposed: Sequence[tuple[Photo, View]]


def unnamed(case: Case) -> list[Photo]:
    """The photos of which no view is said, in the order in which they were sent."""
    photos = list(case.photos.ready().filter(view="").order_by("number"))
    for photo in photos:
        photo.case = case
    return photos


def naming(case: Case, after: int = 0) -> Naming | None:
    """What to ask of the first photo without a view after that number; None when none is left."""
    ahead = [photo for photo in unnamed(case) if photo.number > after]
    if not ahead:
        return None
    taken = views_taken(case.photos.present())
    views = case.instrument.pattern.views
    free = [view for view in views if view.slug not in taken and view.slug not in OF_ONE_PHOTO]
    following = free[0] if free else None
    offers = [Offer(view, view.slug in taken, view is following) for view in views]
    return Naming(ahead[0], offers, len(ahead), list(zip(ahead, free, strict=False)))


def read_names(case: Case, sent: Mapping[str, str]) -> list[Photo] | None:
    """The photos with the views sent for them as ``view_NUMBER``; None when one is unknown."""
    slugs = {view.slug for view in case.instrument.pattern.views}
    photos = {f"view_{photo.number}": photo for photo in unnamed(case)}
    chosen = {name: slug for name, slug in sent.items() if name.startswith("view_")}
    if not chosen or not set(chosen) <= set(photos) or not set(chosen.values()) <= slugs:
        return None
    for name, slug in chosen.items():
        photos[name].view = slug
    return [photos[name] for name in chosen]
