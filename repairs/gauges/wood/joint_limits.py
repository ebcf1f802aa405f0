"""What a good glued joint looks like, in figures: cleats, glue line, pressure."""

from __future__ import annotations

from repairs.gauges.base.verdict import Limit

VERSION = "joints 2"


# Cleats are small, thin and many rather than large: each holds its own stretch of the crack and
# leaves the plate to move between them. All figures are common practice.
DEFAULT_LIMITS: dict[str, Limit] = {
    "cleat_spacing_mm": Limit(40.0, 60.0, "mm"),
    "cleat_size_mm": Limit(8.0, 12.0, "mm"),
    "cleat_thickness_mm": Limit(1.5, 2.3, "mm"),
    # Hide glue fills next to nothing: an edge further off than this is no closed crack.
    "glue_line_mm": Limit(None, 0.1, "mm"),
}


# Longer than any instrument of this house: a crack in metres is one typed in centimetres.
MOST_CRACK_MM = 2000.0
