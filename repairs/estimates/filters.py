"""What the templates of an estimate ask of its frozen data."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.utils.safestring import SafeString

from repairs.estimates.pictured import PictureBlock
from repairs.photos.printed import printed
from repairs.screens.filters import register

ASKED = {
    "weighed": "weighed",
    "meant": "meant",
    "detail_rows": "detail",
    "stops": "stops",
    "opened_intro": "opened_intro",
    "told_in_full": "told_in_full",
}


def _asking(name: str) -> Callable[[Any], Any]:
    def ask(content: Any) -> Any:
        # The filters are known to every template; only those of an estimate ask them.
        from repairs.estimates import weighed  # noqa: PLC0415

        return getattr(weighed, name)(content)

    return ask


for _filter, _name in ASKED.items():
    register.filter(_filter, _asking(_name))


@register.simple_tag
def offer_picture(picture: PictureBlock) -> SafeString:
    """The photo of what is meant, with its numbers, at its printed size."""
    return printed(picture, picture.window, picture.width_mm)
