"""Template tags of instruments: {% load instruments_words %}."""

from __future__ import annotations

from collections.abc import Collection

from django import template
from django.utils.safestring import SafeString

from repairs.instruments import maps
from repairs.instruments.models import Instrument

register = template.Library()


@register.simple_tag
def part_map(
    instrument: Instrument,
    view: str,
    prefix: str = "",
    here: str = "",
    found: Collection[str] = (),
) -> SafeString:
    """The map of parts for a view of the instrument: {% part_map instrument "front" %}.

    ``here`` is the part in question, ``found`` those with findings, by key or by the id of a shape.
    Nothing where its kind has no such map.
    """
    return maps.part_map(
        instrument.pattern,
        view,
        left_handed=instrument.left_handed,
        prefix=prefix,
        marked=maps.Marked(here, found),
    )
