"""Names of the woods whose movement is known, as people say them."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.gauges.wood.species import SPECIES
from repairs.readings.sheets.base import Text

NAMES: Mapping[str, Text] = {
    "sitka_spruce": _("Sitka spruce"),
    "engelmann_spruce": _("Engelmann spruce"),
    "red_spruce": _("red spruce"),
    "norway_spruce": _("Norway spruce"),
    "spruce": _("spruce, mean of the genus"),
    "western_redcedar": _("western redcedar"),
    "sugar_maple": _("sugar maple"),
    "bigleaf_maple": _("bigleaf maple"),
    "red_maple": _("red maple"),
    "silver_maple": _("silver maple"),
    "maple": _("maple, mean of the genus"),
    "black_cherry": _("black cherry"),
    "cherry": _("cherry, mean of the genus"),
    "apple": _("apple"),
    "pear": _("pear"),
    "black_walnut": _("black walnut"),
    "european_walnut": _("European walnut"),
    "american_beech": _("American beech"),
    "lime": _("lime"),
    "mahogany": _("mahogany"),
    "asian_ebony": _("Asian ebony"),
    "african_ebony": _("African ebony"),
    "indian_rosewood": _("Indian rosewood"),
    "brazilian_rosewood": _("Brazilian rosewood"),
    "boxwood": _("boxwood"),
    "basswood": _("basswood"),
    "yellow_birch": _("yellow birch"),
    "white_ash": _("white ash"),
    "american_elm": _("American elm"),
    "chestnut": _("chestnut"),
    "american_sycamore": _("American sycamore"),
    "black_locust": _("black locust"),
}


def species_choices() -> tuple[tuple[str, Text], ...]:
    """Every wood whose movement the gauges know, to choose from."""
    return tuple((key, NAMES[key]) for key in SPECIES)


def wood_words(name: str) -> str:
    """A wood by the name that the gauges' table gives it, as people say it."""
    return str(next((NAMES[key] for key, wood in SPECIES.items() if wood.name == name), name))
