"""The units of a condition record that are about the instrument itself: identity, sizes, views."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.instruments.entries import GROUPS as OF_INSTRUMENTS
from repairs.instruments.models import Instrument
from repairs.instruments.part_models import Dimension
from repairs.language.text import decimal_words, lower_first, number_runs, semicolons
from repairs.papers.blocks.document import Row
from repairs.papers.condition.units import applying, more, object_words, row
from repairs.photos.models import SCALE_CARD, Photo
from repairs.screens.entries import facts

SIZES = {
    "length": ("total_length", "body_length"),
    "width": ("body_width", "lower_bout", "lower_bout_width"),
    "depth": ("body_depth", "rib_height"),
    "speaking_length": ("speaking_length",),
    "wheel_diameter": ("wheel_diameter",),
}
PHOTO_VIEWS = {
    "photo_front": "front",
    "photo_back": "back",
    "photo_left_side": "left_side",
    "photo_right_side": "right_side",
    "photo_head": "head",
    "photo_label": "label",
    "photo_wheel": "wheel",
    "photo_keybox_open": "keybox_open",
    "photo_damage": "damage",
    "photo_scale_card": "scale_card",
}
VIEW_TWINS = {"head": ("head", "scroll")}


def identity_rows(instrument: Instrument) -> tuple[Row, ...]:
    """What it is, by whom and when, its sizes and what belongs to it."""
    sizes = {size.key: size for size in instrument.dimensions.select_related("instrument")}
    foreseen = {pattern.key for pattern in instrument.pattern.dimensions}
    serial = semicolons(p for p in (instrument.serial, _on_label(instrument)) if p)
    keys, maker = instrument.key_count, instrument.maker or _("unknown")
    rows = (
        row("object_name", object_words(instrument)),
        row("hs_class", instrument.hs_number),
        row("maker", f"{maker} ({instrument.get_maker_surety_display()})"),
        row("making_place", instrument.place_made),
        row("making_date", instrument.date_text, raw=_years(instrument)),
        row("serial_or_label", serial),
        row("inscriptions", instrument.marks),
        *(_size_row(key, sizes, foreseen) for key in SIZES),
        row("mass", f"{instrument.mass_g}\u00a0g" if instrument.mass_g else ""),
        row("key_count", keys),
        row("parts_missing", semicolons(instrument.missing_lines), empty=_("none noted")),
        row("accessories", semicolons(instrument.accessory_lines), empty=_("none noted")),
        row("carrying_case", _carrying_case(instrument), empty=_("none noted")),
        *more(facts(instrument, OF_INSTRUMENTS, "report")),
    )
    return applying(instrument.pattern, rows)


def _on_label(instrument: Instrument) -> str:
    return _("label, see below") if instrument.label_text else ""


def _years(instrument: Instrument) -> str:
    if instrument.year_first is None:
        return ""
    return f"{instrument.year_first}/{instrument.year_last}"


def _carrying_case(instrument: Instrument) -> str:
    """The accessories that speak of a case; the words are those that the owner's list uses."""
    words = ("case", "étui", "etui", "housse", "coffret", "bag", "caisse", "boîte")
    lines = [
        line
        for line in instrument.accessory_lines
        if any(word in line.casefold() for word in words)
    ]
    return semicolons(lines)


def _size_row(key: str, sizes: Mapping[str, Dimension], foreseen: set[str]) -> Row:
    names = [name for name in SIZES[key] if name in foreseen]
    if not names:
        return row(key, "", empty=_("does not apply"))
    size = next((sizes[name] for name in names if name in sizes), None)
    if size is None:
        return row(key, "")
    said = f"{millimetre_words(size.value_mm)} ({lower_first(str(size.label))})"
    return row(key, said, raw=size.value_mm)


def millimetre_words(value: Decimal) -> str:
    """A size with its unit, as the language in force writes the figure."""
    return f"{decimal_words(value)}\u00a0mm"


def size_rows(instrument: Instrument) -> tuple[tuple[str, str], ...]:
    """Every measured size that the identity does not tell, under the kind's own name for it."""
    foreseen = {pattern.key for pattern in instrument.pattern.dimensions}
    rows = list(instrument.dimensions.select_related("instrument"))
    keys = {size.key for size in rows}
    told = {_told(names, keys, foreseen) for names in SIZES.values()}
    return tuple(
        (str(capfirst(size.label)), millimetre_words(size.value_mm))
        for size in rows
        if size.key not in told
    )


def _told(names: Iterable[str], measured: set[str], foreseen: set[str]) -> str:
    """Which of the sizes the identity tells under a unit; empty for none."""
    return next((name for name in names if name in foreseen and name in measured), "")


def photo_set_rows(instrument: Instrument, photos: Iterable[Photo]) -> tuple[Row, ...]:
    """Each view of the standard set: the numbers of its photos, or that it was not taken."""
    taken: dict[str, list[int]] = {}
    shown = sorted(photos, key=lambda photo: photo.number)
    for photo in shown:
        taken.setdefault(photo.view, []).append(photo.number)
    foreseen = {view.slug for view in instrument.pattern.views}
    rows = []
    for key, view in PHOTO_VIEWS.items():
        twins = VIEW_TWINS.get(view, (view,))
        numbers = sorted(number for twin in twins for number in taken.get(twin, []))
        missing = _("not taken") if foreseen & set(twins) else _("does not apply")
        words = scale_card_words(shown) if view == SCALE_CARD else photo_words(numbers)
        rows.append(row(key, words, empty=missing))
    return applying(instrument.pattern, rows)


def scale_card_words(photos: Iterable[Photo]) -> str:
    """The photos in which scale and colour card lie, each by itself where they part; else empty.

    A card of its own is not asked for: most lay scale and card into every picture.
    """
    rows = list(photos)
    scaled = [photo.number for photo in rows if photo.has_scale]
    coloured = [photo.number for photo in rows if photo.has_colour_card]
    if scaled == coloured:
        return photo_words(scaled)
    return _("scale: %(scale)s; colour card: %(card)s") % {
        "scale": photo_words(scaled) or _("in no picture"),
        "card": photo_words(coloured) or _("in no picture"),
    }


def photo_words(numbers: list[int]) -> str:
    """“photo 3”, “photos 3, 5” or “photos 3–5”; empty when there is none."""
    if not numbers:
        return ""
    words = ngettext("photo %(numbers)s", "photos %(numbers)s", len(numbers))
    return words % {"numbers": number_runs(numbers)}
