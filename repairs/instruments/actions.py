"""Verbs on the register: enter an instrument with its parts, change it, describe its parts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal

from repairs.audit.actions import deed, record
from repairs.audit.level import took
from repairs.instruments.models import Instrument, InstrumentSeries
from repairs.instruments.numbers import INSTRUMENTS, written
from repairs.instruments.part_models import Dimension, Part
from repairs.people.models import User


@deed()
def enter_instrument(
    instrument: Instrument, dimensions: Mapping[str, Decimal], *, by: User, at: dt.datetime
) -> Instrument:
    """Give the next shop number and copy the parts tree of the kind."""
    InstrumentSeries.objects.get_or_create(pk=1)
    series = InstrumentSeries.objects.select_for_update().get(pk=1)
    series.last += 1
    series.save(update_fields=["last"])
    took(INSTRUMENTS, series.pk, number=series.last)
    instrument.sequence, instrument.number = series.last, written(series.pk, series.last)
    instrument.created_at = at
    _fill_from_kind(instrument)
    instrument.save()
    _copy_parts(instrument)
    _keep_dimensions(instrument, dimensions)
    record(by, "instrument.entered", instrument, at=at, number=instrument.number)
    return instrument


@deed()
def change_instrument(
    instrument: Instrument, dimensions: Mapping[str, Decimal], *, by: User, at: dt.datetime
) -> Instrument:
    """Save what was changed of it; ``dimensions`` are all its sizes in mm, by the kind's keys."""
    _fill_from_kind(instrument)
    instrument.save()
    _keep_dimensions(instrument, dimensions)
    record(by, "instrument.changed", instrument, at=at, number=instrument.number)
    return instrument


@deed()
def note_accessories(instrument: Instrument, words: str, *, by: User, at: dt.datetime) -> None:
    """Keep what came with it as what belongs to it, where nothing is known of that yet."""
    if not words or instrument.accessories:
        return
    instrument.accessories = words
    instrument.save(update_fields=["accessories"])
    record(by, "instrument.changed", instrument, at=at, number=instrument.number)


@deed()
def describe_parts(
    instrument: Instrument, changed: list[Part], *, by: User, at: dt.datetime
) -> None:
    """Save material and originality of the parts that were changed."""
    for part in changed:
        part.save(update_fields=["material", "material_note", "originality", "own_label"])
    if changed:
        keys = [part.key for part in changed]
        record(by, "instrument.parts_described", instrument, at=at, parts=keys)


@deed()
def add_part(
    instrument: Instrument, label: str, parent: Part | None, *, by: User, at: dt.datetime
) -> Part:
    """Add a part that the kind does not foresee, below ``parent``."""
    last = instrument.parts.order_by("-position").first()
    number = instrument.parts.filter(key__startswith="own_").count() + 1
    part = Part.objects.create(
        instrument=instrument,
        parent=parent,
        key=f"own_{number}",
        own_label=label,
        depth=parent.depth + 1 if parent else 0,
        position=(last.position + 1) if last else 0,
    )
    record(by, "instrument.part_added", instrument, at=at, part=part.key)
    return part


@deed()
def take_usual_materials(instrument: Instrument, note: str, *, by: User, at: dt.datetime) -> int:
    """Fill the materials left empty with those usual for the kind, each marked by ``note``."""
    usual = {pattern.key: pattern.material for pattern in instrument.pattern.parts}
    filled: list[Part] = []
    for part in instrument.parts.filter(material=""):
        if usual.get(part.key):
            part.material, part.material_note = usual[part.key], note
            filled.append(part)
    Part.objects.bulk_update(filled, ["material", "material_note"], batch_size=100)
    keys = [part.key for part in filled]
    record(by, "instrument.usual_materials", instrument, at=at, parts=keys)
    return len(filled)


def _fill_from_kind(instrument: Instrument) -> None:
    if not instrument.hs_number:
        instrument.hs_number = instrument.pattern.hs_number
    if instrument.key_count is None:
        instrument.key_count = instrument.pattern.key_count


def _copy_parts(instrument: Instrument) -> None:
    """Write a level of the tree at once: a kind has up to a hundred parts, in four levels."""
    made: dict[str, Part] = {}
    patterns = instrument.pattern.parts
    for depth in sorted({pattern.depth for pattern in patterns}):
        level = [
            Part(
                instrument=instrument,
                key=pattern.key,
                parent=made.get(pattern.parent),
                depth=depth,
                position=position,
            )
            for position, pattern in enumerate(patterns)
            if pattern.depth == depth
        ]
        made |= {part.key: part for part in Part.objects.bulk_create(level)}


def _keep_dimensions(instrument: Instrument, dimensions: Mapping[str, Decimal]) -> None:
    instrument.dimensions.exclude(key__in=dimensions).delete()
    for key, value in dimensions.items():
        Dimension.objects.update_or_create(
            instrument=instrument, key=key, defaults={"value_mm": value}
        )
