"""Twelve-megapixel photographs drawn for measuring, and a store full of their derivatives."""

from __future__ import annotations

import hashlib
import json
import random
from collections.abc import Iterator
from dataclasses import asdict
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageEnhance

from repairs.demo.pictures import write
from repairs.demo.pictures.shot import Shot
from repairs.demo.pictures.shots import SHOTS
from repairs.measures.content import Picture
from repairs.photos.darkroom import QUALITY, SIZES, develop

SENSOR = (4032, 3024)
SMALL_SENSOR = (1008, 756)
SCENES = ("front", "back", "keybox_open", "damage", "wheel", "head")
MOST_PIXELS = 120_000_000
WINDOW = 0.85  # how much of a photo's side a variant shows at least


def shots(count: int) -> list[Shot]:
    """One shot of each scene, of the first instrument that has it."""
    return [next(shot for shot in SHOTS if shot.view == view) for view in SCENES[:count]]


def originals(folder: Path, count: int, size: tuple[int, int] = SENSOR) -> list[Path]:
    """Draw the photographs into the folder, as a camera stores them."""
    folder.mkdir(parents=True, exist_ok=True)
    return [write(shot, folder, size) for shot in shots(count)]


def fill_store(folder: Path, files: list[Path], count: int) -> None:
    """Put ``count`` different print-size pictures into the folder's store, and their list.

    The photographs are developed by the darkroom; each picture is then another window of one,
    mirrored or not, lighter or darker, since equal pictures would be embedded only once.
    """
    developed = [_developed(file, folder / "developed" / file.stem) for file in files]
    listed = []
    for data, size in _variants(developed, count):
        digest = hashlib.sha256(data).hexdigest()
        name = f"derived/{digest[:2]}/{digest[2:4]}/{digest}-{SIZES[1]}.jpg"
        target = folder / "media" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
        listed.append(asdict(Picture(name=name, width=size[0], height=size[1], sha256=digest)))
    (folder / "pictures.json").write_text(json.dumps(listed), encoding="utf-8")


def _developed(file: Path, folder: Path) -> Path:
    folder.mkdir(parents=True)
    develop(file, folder, MOST_PIXELS)
    return folder / f"{SIZES[0]}.jpg"


def _variants(developed: list[Path], count: int) -> Iterator[tuple[bytes, tuple[int, int]]]:
    chance = random.Random(1771)  # noqa: S311 - the same pictures in every run
    for index in range(count):
        with Image.open(developed[index % len(developed)]) as picture:
            varied = _window(picture, chance)
        if chance.random() < 0.5:
            varied = varied.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
        varied = ImageEnhance.Brightness(varied).enhance(chance.uniform(0.8, 1.2))
        data = BytesIO()
        varied.save(data, "JPEG", quality=QUALITY)
        yield data.getvalue(), varied.size


def _window(picture: Image.Image, chance: random.Random) -> Image.Image:
    """A part of the picture in the same proportion, at print size."""
    share = chance.uniform(WINDOW, 1)
    width, height = picture.width * share, picture.height * share
    left = chance.uniform(0, picture.width - width)
    top = chance.uniform(0, picture.height - height)
    ratio = min(1.0, SIZES[1] / max(picture.size))
    wanted = (round(picture.width * ratio), round(picture.height * ratio))
    box = (left, top, left + width, top + height)
    return picture.resize(wanted, Image.Resampling.LANCZOS, box=box)
