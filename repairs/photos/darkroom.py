"""Verifies and develops one photo after another, in a process of its own.

Run as ``python -m repairs.photos.darkroom``: one JSON request a line on standard input, one JSON
answer a line on standard output. It knows neither Django nor the database, and WeasyPrint must
never be imported here: it makes Pillow accept truncated files in the whole process.

The whole stream of an original is decoded, so that a truncated file is found; a JPEG is decoded
at half size where that suffices (four times less work), turned upright after the first reduction,
and saved in three sizes without any EXIF.
"""

from __future__ import annotations

import datetime as dt
import errno
import hashlib
import json
import resource
import struct
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image, ImageCms, ImageFile, UnidentifiedImageError

# The largest is for print, 300 dpi over the 170 mm of a page's text; the middle one for screens,
# the small one for lists.
SIZES = (2016, 1344, 720, 320)
QUALITY = 82
FORMATS = ("JPEG", "PNG", "WEBP")
HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
PNG_END = b"IEND\xaeB`\x82"
# What the decoders raise on a file that is not what its first bytes promise.
FAULTS = (
    OSError,
    ValueError,
    SyntaxError,
    RuntimeError,
    EOFError,
    LookupError,
    TypeError,
    struct.error,
)
MOST_MEMORY = 3 * 1024**3
# Half of a 4032-pixel picture is 2016: a size a little under the wish saves the full decode.
NEARLY = 0.97
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
ORIENTATION, MAKE, MODEL, EXIF_IFD, GPS_IFD = 0x0112, 0x010F, 0x0110, 0x8769, 0x8825
TAKEN_AT, TAKEN_OFFSET = 0x9003, 0x9011
# Cameras whose battery died begin again at 1970, 1980 or 2000; those are kept as they say it.
FIRST_YEAR = 1900  # an earlier one is a clock gone wrong, and year 1 has no place in a database


class RefusedError(Exception):
    """A file that cannot be kept; ``code`` names the sentence that the person is told."""

    def __init__(self, code: str, **details: Any) -> None:
        self.code, self.details = code, details
        super().__init__(code)


def develop(source: Path, folder: Path, most_pixels: int) -> dict[str, Any]:
    """Verify the file and write its derivatives into the folder; return what is known of it.

    Raises RefusedError for anything that is not one whole picture of an accepted kind and size.
    """
    data = source.read_bytes()
    if not data:
        raise RefusedError("empty")
    picture = _open(data)
    width, height = picture.size
    if width * height > most_pixels:
        raise RefusedError(
            "too_large", megapixels=round(width * height / 1e6), most=round(most_pixels / 1e6)
        )
    _load(picture, data)
    facts = _facts(picture, data)
    facts["width"], facts["height"] = (
        (width, height) if facts["orientation"] < 5 else (height, width)
    )
    _write_sizes(picture, facts, folder)
    return facts


def _open(data: bytes) -> Image.Image:
    formats: tuple[str, ...] = FORMATS
    if is_heif(data):
        import pillow_heif  # noqa: PLC0415 - 50 ms that JPEG photos need not pay

        pillow_heif.register_heif_opener(thumbnails=False)
        formats = ("HEIF",)  # Pillow knows the name only from here on
    try:
        return Image.open(BytesIO(data), formats=formats)
    except UnidentifiedImageError:
        raise RefusedError(_what_else(data)) from None
    except FAULTS:
        raise RefusedError("damaged") from None


def is_heif(data: bytes) -> bool:
    """Tell HEIC from the films and other pictures that begin with the same box."""
    return data[4:8] == b"ftyp" and data[8:12] in HEIF_BRANDS


def _load(picture: Image.Image, data: bytes) -> None:
    """Decode the whole stream, so that a file that was cut short is found."""
    longest = max(picture.size)
    if picture.format in ("JPEG", "MPO") and picture.mode in ("RGB", "L"):
        scale = next((k for k in (8, 4, 2) if longest / k >= SIZES[0] * NEARLY), 1)
        picture.draft(picture.mode, (picture.width // scale, picture.height // scale))
    try:
        picture.load()
    except FAULTS:
        raise RefusedError("damaged") from None
    if picture.format == "PNG" and PNG_END not in data:
        raise RefusedError("damaged")


def _what_else(data: bytes) -> str:
    """Name what the file is rather than a picture, as far as its first bytes tell."""
    head = data[:2048].lstrip()
    if b"<svg" in head:
        return "drawing"
    if data[:3] == b"\xff\xd8\xff" or data[:8] == b"\x89PNG\r\n\x1a\n" or is_heif(data):
        return "damaged"
    if data[:4] in (b"GIF8", b"II*\0", b"MM\0*", b"%PDF") or data[:2] == b"BM":
        return "other_kind"
    if data[4:8] == b"ftyp":
        return "other_kind"
    return "not_a_picture"


def _facts(picture: Image.Image, data: bytes) -> dict[str, Any]:
    exif, detail, place = _exif(picture)
    turned = exif.get(ORIENTATION, 1)
    turned = turned if turned in range(1, 9) else 1
    camera = " ".join(_word(exif.get(tag)) for tag in (MAKE, MODEL)).strip()
    return {
        "sha256": hashlib.sha256(data).hexdigest(),
        "size_bytes": len(data),
        "format": "JPEG" if picture.format == "MPO" else picture.format,
        "orientation": turned,
        "taken_at": _moment(_word(detail.get(TAKEN_AT)), _word(detail.get(TAKEN_OFFSET))),
        "camera": camera[:120],
        "has_place": bool(place),
    }


def _exif(picture: Image.Image) -> tuple[Any, dict[int, Any], dict[int, Any]]:
    """Return the EXIF and its two inner parts; unreadable EXIF counts as none at all."""
    try:
        exif = picture.getexif()
        return exif, exif.get_ifd(EXIF_IFD), exif.get_ifd(GPS_IFD)
    except FAULTS:
        return {}, {}, {}


def _word(value: object) -> str:
    text = value.decode("latin-1") if isinstance(value, bytes) else str(value or "")
    return text.replace("\0", "").strip()


def _moment(taken: str, offset: str) -> str:
    """Turn EXIF's ``2026:03:02 10:15:00`` and ``+01:00`` into ISO form; empty when unreadable."""
    try:
        moment = dt.datetime.strptime(taken, "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007 - as the camera has it
    except ValueError:
        return ""
    if moment.year < FIRST_YEAR:
        return ""
    try:
        return dt.datetime.fromisoformat(f"{moment.isoformat()}{offset}").isoformat()
    except ValueError:
        return moment.isoformat()


def _write_sizes(picture: Image.Image, facts: dict[str, Any], folder: Path) -> None:
    facts["files"] = {}
    for size, step in zip(SIZES, _reductions(picture, facts["orientation"]), strict=True):
        path = folder / f"{size}.jpg"
        step.save(path, "JPEG", quality=QUALITY)
        facts["files"][str(size)] = str(path)


def largest(data: bytes) -> Image.Image:
    """The largest size as it is before it is encoded, not turned: its quality is measured."""
    picture = _open(data)
    _load(picture, data)
    return next(_reductions(picture, turned=1))


def _reductions(picture: Image.Image, turned: int) -> Iterator[Image.Image]:
    """Yield the picture upright in each size, every one made from the one before."""
    step = picture
    for index, size in enumerate(SIZES):
        step = _reduced(step, size)
        if index == 0:
            turn = TURNS.get(turned)
            step = _plain(step, picture.info.get("icc_profile"))
            step = step.transpose(turn) if turn is not None else step
            step.info.clear()  # Pillow would copy a JPEG's comment, which may name a place
            if step is not picture:
                picture.close()  # twelve megabytes less beside the smaller sizes
        yield step


def _reduced(picture: Image.Image, size: int) -> Image.Image:
    """Fit the longest side to the size; a smaller picture is never blown up."""
    ratio = size / max(picture.size)
    if ratio >= 1:
        return picture
    if picture.mode in ("P", "1"):
        picture = picture.convert("RGBA")
    wanted = (max(1, round(picture.width * ratio)), max(1, round(picture.height * ratio)))
    return picture.resize(wanted, Image.Resampling.LANCZOS, reducing_gap=2.0)


def _plain(picture: Image.Image, profile: bytes | None) -> Image.Image:
    """Bring any mode to RGB on white, and a wide-gamut picture to sRGB."""
    if picture.mode in ("RGBA", "LA", "PA", "P"):
        picture = picture.convert("RGBA")
        white = Image.new("RGBA", picture.size, "white")
        picture = Image.alpha_composite(white, picture)
    if picture.mode.startswith("I;16") or picture.mode == "I":
        picture = picture.point(lambda value: value / 256).convert("L")
    if picture.mode != "RGB":
        picture = picture.convert("RGB")
    return _srgb(picture, profile) if profile else picture


def _srgb(picture: Image.Image, profile: bytes) -> Image.Image:
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        if "srgb" in ImageCms.getProfileDescription(source).casefold():
            return picture
        changed = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        return picture  # a broken profile: the numbers as they are serve better than nothing
    return changed if changed is not None else picture


def answer(request: dict[str, Any]) -> dict[str, Any]:
    """Develop one photo as asked; a refusal is an answer, and so is trouble of this machine.

    What is the file's own fault was turned into a refusal where it was decoded: an OSError that
    comes this far is one of the disk.
    """
    try:
        return develop(
            Path(request["source"]), Path(request["folder"]), int(request["most_pixels"])
        )
    except RefusedError as refusal:
        return {"refused": refusal.code, "details": refusal.details}
    except MemoryError:
        return {"trouble": "memory"}
    except OSError as fault:
        if fault.errno is None:  # of a decoder, not of the disk
            return {"trouble": "crashed"}
        is_full = fault.errno in (errno.ENOSPC, errno.EDQUOT)
        return {"trouble": "no_room" if is_full else "disk"}


def main() -> None:
    """Answer a line of JSON for each line read, under a limit of memory of this process."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    Image.MAX_IMAGE_PIXELS = None  # the house's own limit is asked before anything is decoded
    if ImageFile.LOAD_TRUNCATED_IMAGES:
        raise RuntimeError("this process would accept truncated photos")
    for line in sys.stdin:
        sys.stdout.write(json.dumps(answer(json.loads(line))) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
