"""What the darkroom keeps, and what the derivatives look like. A real child process does it."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import struct

import pytest
from PIL import Image

from repairs.photos.darkroom import SIZES
from repairs.photos.models import Photo
from repairs.storage import files as store
from tests.photos import pictures
from tests.photos.conftest import Develop, files_in

pytestmark = pytest.mark.django_db
CORNERS = [pictures.RED, pictures.GREEN, pictures.BLUE, pictures.WHITE]


def derivative(photo: Photo, size: int = SIZES[0]) -> Image.Image:
    assert photo.original is not None, photo.refusal_text
    data = store.path_of(photo.original.derivative(size)).read_bytes()
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def near(seen: object, wanted: tuple[int, ...], within: int = 14) -> bool:
    assert isinstance(seen, tuple)
    return all(abs(a - b) <= within for a, b in zip(seen, wanted, strict=True))


def corner_colours(image: Image.Image) -> list[object]:
    w, h = image.size
    return [image.getpixel((w * x // 4, h * y // 4)) for y in (1, 3) for x in (1, 3)]


KINDS = {
    "jpeg": (pictures.saved(pictures.corners(), "JPEG"), "JPEG", ".jpg"),
    "progressive": (pictures.saved(pictures.corners(), "JPEG", progressive=True), "JPEG", ".jpg"),
    "cmyk": (pictures.saved(pictures.corners().convert("CMYK"), "JPEG"), "JPEG", ".jpg"),
    "png": (pictures.saved(pictures.corners(), "PNG"), "PNG", ".png"),
    "rgba": (pictures.saved(pictures.corners().convert("RGBA"), "PNG"), "PNG", ".png"),
    "palette": (pictures.saved(pictures.corners().quantize(8), "PNG"), "PNG", ".png"),
    "webp": (pictures.saved(pictures.corners(), "WEBP", quality=90), "WEBP", ".webp"),
    "heic": (pictures.saved(pictures.corners(), "HEIF", quality=90), "HEIF", ".heic"),
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_accepted_kind_is_kept_as_it_came(develop: Develop, kind):
    data, name, suffix = KINDS[kind]

    photo = develop(data)

    original = photo.original
    assert photo.state == "ready" and original is not None, photo.refusal_text
    assert original.sha256 == hashlib.sha256(data).hexdigest()
    assert (original.format, original.size_bytes) == (name, len(data))
    assert (original.width, original.height) == (160, 120)
    assert original.file_name.endswith(suffix)
    assert store.path_of(original.file_name).read_bytes() == data
    for size in SIZES:
        image = derivative(photo, size)
        assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (160, 120))
        for seen, wanted in zip(corner_colours(image), CORNERS, strict=True):
            assert near(seen, wanted), (kind, seen, wanted)


def test_sixteen_bits_of_grey_keep_their_shades(develop: Develop):
    row = struct.pack("<300H", *(x * 218 for x in range(300)))
    grey = Image.frombytes("I;16", (300, 20), row * 20)

    shades = derivative(develop(pictures.saved(grey, "PNG")))

    for x in (20, 150, 280):
        assert near(shades.getpixel((x, 10)), (x * 218 // 256,) * 3, within=4)


def test_what_was_transparent_is_white_in_the_derivative(develop: Develop):
    glass = Image.new("RGBA", (60, 40), (0, 0, 0, 0))

    image = derivative(develop(pictures.saved(glass, "PNG")))

    assert near(image.getpixel((30, 20)), (255, 255, 255), within=2)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_every_exif_orientation_stands_upright(develop: Develop, kind, orientation):
    stored = pictures.turned(orientation)

    photo = develop(pictures.saved(stored, kind, exif=pictures.exif(orientation)))

    assert photo.original is not None
    assert (photo.original.width, photo.original.height) == (160, 120)
    for size in SIZES:
        image = derivative(photo, size)
        assert image.size == (160, 120)
        for seen, wanted in zip(corner_colours(image), CORNERS, strict=True):
            assert near(seen, wanted), (orientation, seen, wanted)


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_a_turned_heic_is_turned_once_and_not_twice(develop: Develop, orientation):
    stored = pictures.turned(orientation)

    photo = develop(pictures.saved(stored, "HEIF", exif=pictures.exif(orientation).tobytes()))

    image = derivative(photo)
    assert image.size == (160, 120)
    for seen, wanted in zip(corner_colours(image), CORNERS, strict=True):
        assert near(seen, wanted), (orientation, seen, wanted)


def test_a_phone_s_two_pictures_in_one_jpeg_are_one_photo(develop: Develop):
    second = pictures.noise(40, 30)
    data = pictures.saved(
        pictures.turned(6),
        "MPO",
        save_all=True,
        append_images=[second],
        exif=pictures.exif(6).tobytes(),
    )

    photo = develop(data)

    assert photo.original is not None and photo.original.format == "JPEG"
    assert near(corner_colours(derivative(photo))[0], pictures.RED)


def test_derivatives_bear_no_exif_no_place_and_no_comment(develop: Develop):
    told = pictures.exif(6, taken="2026:03:02 10:15:00", place="yes")
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/">48,51.5N</x:xmpmeta>'

    photo = develop(
        pictures.saved(
            pictures.turned(6), "JPEG", exif=told, comment=b"48.85830 N 2.29450 E", xmp=xmp
        )
    )

    assert photo.original is not None and photo.original.has_place
    for path in files_in("derived"):
        data = path.read_bytes()
        image = Image.open(io.BytesIO(data))
        assert not dict(image.getexif()), path
        assert not {"exif", "comment", "xmp", "icc_profile"} & set(image.info)
        assert not any(word in data for word in (b"Exif", b"48.85830", b"xmpmeta", b"Lumen"))
    assert b"48.85830" in store.path_of(photo.original.file_name).read_bytes()


@pytest.mark.parametrize(
    ("taken", "offset", "wanted"),
    [
        ("2026:03:02 10:15:00", "", dt.datetime(2026, 3, 2, 9, 15, tzinfo=dt.UTC)),
        ("2026:07:02 10:15:00", "", dt.datetime(2026, 7, 2, 8, 15, tzinfo=dt.UTC)),
        ("2026:03:02 10:15:00", "-05:00", dt.datetime(2026, 3, 2, 15, 15, tzinfo=dt.UTC)),
        ("2026:03:02 10:15:00", "here", dt.datetime(2026, 3, 2, 9, 15, tzinfo=dt.UTC)),
        ("0001:01:01 00:00:00", "", None),
        ("0000:00:00 00:00:00", "", None),
        ("yesterday", "+01:00", None),
    ],
)
def test_the_time_and_the_camera_are_read(develop: Develop, taken, offset, wanted):
    told = pictures.exif(taken=taken, offset=offset)

    photo = develop(pictures.saved(pictures.corners(), "JPEG", exif=told))

    assert photo.taken_at == wanted
    assert photo.original is not None
    assert photo.original.camera == "Lumen Boite 4"
    assert not photo.original.has_place


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("junk", [b"Exif\0\0JUNKJUNK", b"Exif\0\0II*\0\x08\0\0\0\xff\xff\x12"])
def test_broken_exif_does_not_cost_the_photo(develop: Develop, kind, junk):
    photo = develop(pictures.saved(pictures.corners(), kind, exif=junk))

    assert photo.state == "ready", photo.refusal_text
    assert photo.taken_at is None


def test_a_wide_gamut_is_brought_to_srgb(develop: Develop):
    wide, seen_as = (200, 80, 60), _p3_in_srgb((200, 80, 60))
    image = Image.new("RGB", (80, 60), wide)

    as_it_is = derivative(develop(pictures.saved(image, "PNG")))
    changed = derivative(develop(pictures.saved(image, "PNG", icc_profile=pictures.wide_profile())))

    assert near(as_it_is.getpixel((40, 30)), wide, within=3)
    assert near(changed.getpixel((40, 30)), seen_as, within=4)
    assert not near(seen_as, wide, within=8)


def _p3_in_srgb(colour: tuple[int, int, int]) -> tuple[int, int, int]:
    """Both spaces share curve and white; the matrix is the product of their published ones."""
    linear = [_to_linear(value / 255) for value in colour]
    matrix = (
        (1.22494, -0.22494, 0.0),
        (-0.04206, 1.04206, 0.0),
        (-0.01964, -0.07864, 1.09827),
    )
    mixed = [sum(a * b for a, b in zip(row, linear, strict=True)) for row in matrix]
    red, green, blue = (round(255 * _to_curve(min(1.0, max(0.0, value)))) for value in mixed)
    return red, green, blue


def _to_linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def _to_curve(value: float) -> float:
    return value * 12.92 if value <= 0.0031308 else float(1.055 * value ** (1 / 2.4) - 0.055)


def test_a_broken_colour_profile_does_not_cost_the_photo(develop: Develop):
    photo = develop(pictures.saved(pictures.corners(), "JPEG", icc_profile=b"not a profile" * 20))

    assert near(corner_colours(derivative(photo))[1], pictures.GREEN)


def test_four_sizes_are_made(develop: Develop):
    photo = develop(pictures.saved(pictures.corners(2400, 1800), "JPEG"))

    sizes = [derivative(photo, size).size for size in SIZES]

    assert SIZES == (2016, 1344, 720, 320)
    assert sizes == [(2016, 1512), (1344, 1008), (720, 540), (320, 240)]
    assert photo.screen_size == (2016, 1512)


def test_half_of_a_photo_a_little_under_the_size_is_taken_as_it_is(develop: Develop):
    photo = develop(pictures.saved(pictures.corners(4000, 400), "JPEG"))

    assert derivative(photo).size == (2000, 200) == photo.screen_size
    assert derivative(photo, 1344).size == (1344, 134)


def test_a_strip_of_one_pixel_keeps_a_width(develop: Develop):
    photo = develop(pictures.saved(Image.new("RGB", (3000, 1), pictures.RED), "PNG"))

    assert derivative(photo, 320).size == (320, 1)
