"""Photographs for the demo, drawn from nothing: twelve megapixels, EXIF, a scale in each.

A demo cannot carry anybody's real pictures, and it must show what the app does with large
ones. ``render`` draws a shot the right way up; ``write`` stores it as a camera would.
"""

from pathlib import Path

from PIL import Image

from repairs.demo.pictures.exif import camera_notes, stored
from repairs.demo.pictures.scenes import picture, upright_size
from repairs.demo.pictures.shot import Shot, retaken
from repairs.demo.pictures.shots import SHOTS

__all__ = ["SHOTS", "Shot", "render", "retaken", "write"]

UNMENDED = ("arrival", "before")


def render(shot: Shot, size: tuple[int, int] = (4032, 3024)) -> Image.Image:
    """Return the picture upright. `size` is the sensor's, so a portrait shot comes out turned.

    The same shot gives the same pixels: the instrument is seeded by its subject, the camera
    by the shot's name.
    """
    upright = upright_size(shot.orientation, size)
    mended = shot.phase not in UNMENDED
    return picture(shot.scene, shot.name, upright, mended=mended, left=shot.left)


def write(
    shot: Shot, folder: Path, size: tuple[int, int] = (4032, 3024), quality: int = 92
) -> Path:
    """Write the shot as a JPEG with EXIF into `folder` and return its path."""
    pixels = stored(render(shot, size), shot.orientation)
    notes = camera_notes(shot.taken_at, shot.orientation, shot.gps)
    path = folder / shot.name
    pixels.save(path, "JPEG", quality=quality, exif=notes, dpi=(72, 72))
    return path
