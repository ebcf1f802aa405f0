"""What the templates of an estimate ask of its frozen data."""

from __future__ import annotations

from django.utils.safestring import SafeString

from repairs.estimates import weighed
from repairs.estimates.pictured import PictureBlock
from repairs.photos.printed import printed
from repairs.screens.filters import register

register.filter("weighed", weighed.weighed)
register.filter("meant", weighed.meant)
register.filter("detail_rows", weighed.detail)
register.filter("stops", weighed.stops)
register.filter("opened_intro", weighed.opened_intro)
register.filter("told_in_full", weighed.told_in_full)


@register.simple_tag
def offer_picture(picture: PictureBlock) -> SafeString:
    """The photo of what is meant, with its numbers, at its printed size."""
    return printed(picture, picture.window, picture.width_mm)
