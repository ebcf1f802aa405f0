"""The map of parts that stands beside a photo, and how it lies on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from repairs.findings.laid_models import LaidMap
from repairs.findings.laying import LEAST, MOST_OFF_MM, Anchor, CannotLayError, Laid, Point, lay
from repairs.findings.refusals import MapDoesNotLieError
from repairs.instruments.maps import map_of, part_map
from repairs.instruments.models import Instrument
from repairs.instruments.pattern import PartMap
from repairs.language.text import rounded
from repairs.photos.models import Photo

PREFIX = "map-"  # ids of shapes are keys of parts, and a page has ids of its own


@dataclass(frozen=True)
class BesidePhoto:
    """A map drawn beside a photo, the others of its kind, and how it lies on the photo if so."""

    chosen: PartMap
    svg: SafeString
    others: tuple[PartMap, ...]
    laid: Laid | None

    @property
    def name(self) -> str:
        """The name of the drawing that is shown."""
        return self.chosen.name

    @property
    def can_be_laid(self) -> bool:
        """Whether it has enough places that are easy to find on a photo."""
        return self.svg.count("data-anchor") >= LEAST


def beside(photo: Photo, name: str = "") -> BesidePhoto | None:
    """The map of that name for the photo, else the one that is laid, else that of its view.

    None where the kind has no maps. A photo without a view gets the first of them.
    """
    instrument = photo.case.instrument
    maps = instrument.pattern.maps
    if not maps:
        return None
    kept = LaidMap.objects.filter(photo=photo).first()
    chosen = next((one for one in maps if one.name == name), None)
    if chosen is None and kept is not None:
        chosen = next((one for one in maps if one.name == kept.map), None)
    if chosen is None:
        left = instrument.left_handed
        chosen = map_of(instrument.pattern, photo.view, left_handed=left) or maps[0]
    others = tuple(one for one in maps if one.name != chosen.name)
    laid = _laid(kept, photo) if kept and kept.map == chosen.name else None
    return BesidePhoto(chosen, drawing(instrument, chosen.name), others, laid)


def drawing(instrument: Instrument, name: str) -> SafeString:
    """The map of that name of the instrument's kind and hand, in the language in force."""
    left = instrument.left_handed
    return part_map(instrument.pattern, name, left_handed=left, prefix=PREFIX)


def _laid(kept: LaidMap, photo: Photo) -> Laid | None:
    try:
        return laid_by(photo, kept.map, {name: (at[0], at[1]) for name, at in kept.taps.items()})
    except MapDoesNotLieError:  # the drawing of a later release has other anchors
        return None


def laid_by(photo: Photo, name: str, taps: Mapping[str, Point]) -> Laid:
    """How the map lies by those taps on its anchors, in shares of the photo.

    Raises MapDoesNotLieError when they are too few, lie in one line, or miss one another by more
    than 8 mm: what is proposed by such a map would be a guess.
    """
    root = ET.fromstring(drawing(photo.case.instrument, name) or "<svg/>")  # noqa: S314 - ours
    anchors = {
        one.get("data-anchor", ""): Anchor(
            (float(one.get("cx", "0")), float(one.get("cy", "0"))), "data-slide" in one.attrib
        )
        for one in root.iter("circle")
    }
    mm_per_unit = float(root.get("data-mm-per-unit", "1"))
    try:
        laid = lay(anchors, taps, size_px=photo.screen_size, mm_per_unit=mm_per_unit)
    except CannotLayError as error:
        why = _("four places are needed, and not all of them in one line")
        raise MapDoesNotLieError(why=why) from error
    if laid.off_mm > MOST_OFF_MM:
        off = rounded(laid.off_mm, 0)
        raise MapDoesNotLieError(why=_("they miss the drawing by about %(off)s mm") % {"off": off})
    return laid
