"""Small pictures of every kind that a phone may send, whole and spoilt."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import pillow_heif
from PIL import Image, ImageCms

pillow_heif.register_heif_opener(thumbnails=False)

# Display P3, adapted to D50 as a profile holds it (ICC v4, s15Fixed16).
P3 = {
    b"rXYZ": (0.51512, 0.24120, -0.00105),
    b"gXYZ": (0.29198, 0.69225, 0.04189),
    b"bXYZ": (0.15710, 0.06657, 0.78407),
}
PNG_HEAD = b"\x89PNG\r\n\x1a\n"
RED, GREEN, BLUE, WHITE = (210, 30, 30), (30, 170, 40), (30, 50, 200), (245, 245, 245)


def corners(width: int = 160, height: int = 120) -> Image.Image:
    """Red, green; blue, white, a quarter each, read from the upper left."""
    image = Image.new("RGB", (width, height), WHITE)
    w, h = width // 2, height // 2
    for colour, place in ((RED, (0, 0)), (GREEN, (w, 0)), (BLUE, (0, h))):
        image.paste(colour, (*place, place[0] + w, place[1] + h))
    return image


def saved(image: Image.Image, kind: str, **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def exif(orientation: int = 1, **words: str) -> Image.Exif:
    """EXIF with an orientation, a camera, a time and a place."""
    data = Image.Exif()
    data[0x0112] = orientation
    data[0x010F], data[0x0110] = words.get("make", "Lumen"), words.get("model", "Boite 4")
    inner = data.get_ifd(0x8769)
    if taken := words.get("taken", ""):
        inner[0x9003] = taken
    if offset := words.get("offset", ""):
        inner[0x9011] = offset
    if "place" in words:
        place = data.get_ifd(0x8825)
        place[1], place[2] = "N", (48.0, 51.0, 30.0)
        place[3], place[4] = "E", (2.0, 17.0, 40.0)
    return data


def turned(orientation: int) -> Image.Image:
    """The corners as a camera held that way stores them; upright again under its EXIF."""
    undo = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    image = corners()
    return image if orientation == 1 else image.transpose(undo[orientation])


def noise(width: int = 200, height: int = 150) -> Image.Image:
    """Does not compress, so that half of the file is half of the picture."""
    return Image.effect_noise((width, height), 60).convert("RGB")


def png_of(width: int, height: int) -> bytes:
    """A true PNG of any size that weighs next to nothing, written row by row."""
    packer = zlib.compressobj(1)
    rows = (b"\0" + b"\x80" * width) * 100
    body = b"".join(packer.compress(rows) for _ in range(height // 100)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return PNG_HEAD + _chunk(b"IHDR", head) + _chunk(b"IDAT", body) + _chunk(b"IEND", b"")


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def jpeg_claiming(width: int, height: int) -> bytes:
    """A small JPEG whose frame header (SOF0) lies about its size."""
    data = saved(noise(), "JPEG")
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4 :]


def heic_claiming(width: int, height: int) -> bytes:
    """A small HEIC whose ``ispe`` box lies about its size."""
    data = saved(corners(), "HEIF")
    at = data.index(b"ispe") + 8
    return data[:at] + struct.pack(">II", width, height) + data[at + 8 :]


def wide_profile() -> bytes:
    """The sRGB profile with other primaries and another name: a wide-gamut one."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    for index in range(struct.unpack(">I", data[128:132])[0]):
        tag, at, _size = struct.unpack(">4sII", data[132 + 12 * index : 144 + 12 * index])
        if tag in P3:
            fixed = [round(value * 65536) for value in P3[tag]]
            data[at + 8 : at + 20] = struct.pack(">iii", *fixed)
    name = "sRGB".encode("utf-16-be")
    return bytes(data).replace(name, "wide".encode("utf-16-be"))
