"""What a camera writes beside the pixels: make, time with its zone, way up, place."""

import calendar
from datetime import datetime, timedelta
from fractions import Fraction

from PIL import ExifTags, Image
from PIL.TiffImagePlugin import IFDRational

MAKE = "Atelier"
MODEL = "Demo camera"
TURNS = {
    3: Image.Transpose.ROTATE_180,
    6: Image.Transpose.ROTATE_90,
    8: Image.Transpose.ROTATE_270,
}


def stored(upright: Image.Image, orientation: int) -> Image.Image:
    """Return the pixels as the sensor saw them, so that `orientation` makes them upright."""
    if orientation == 1:
        return upright
    if orientation not in TURNS:
        raise ValueError(f"orientation must be 1, 3, 6 or 8, got {orientation!r}")
    return upright.transpose(TURNS[orientation])


def local_offset(moment: datetime) -> str:
    """Return the offset from UTC of a wall clock in central Europe, as EXIF writes it.

    Summer time runs from the last Sunday of March to the last Sunday of October; reckoned
    here because a fresh machine may have no table of time zones.
    """
    start = _last_sunday(moment.year, 3) + timedelta(hours=2)
    end = _last_sunday(moment.year, 10) + timedelta(hours=3)
    clock = datetime.fromisoformat(moment.strftime("%Y-%m-%dT%H:%M:%S"))
    return "+02:00" if start <= clock < end else "+01:00"


def _last_sunday(year: int, month: int) -> datetime:
    last = datetime.fromisoformat(f"{year}-{month:02d}-{calendar.monthrange(year, month)[1]}")
    return last - timedelta(days=(last.weekday() + 1) % 7)


def camera_notes(
    taken_at: datetime, orientation: int, gps: tuple[float, float] | None
) -> Image.Exif:
    """Return the EXIF of a picture taken at a naive local time, with the place when it is known."""
    notes = Image.Exif()
    stamp = taken_at.strftime("%Y:%m:%d %H:%M:%S")
    offset = local_offset(taken_at)
    base, detail, place = ExifTags.Base, ExifTags.IFD.Exif, ExifTags.IFD.GPSInfo
    notes[base.Make], notes[base.Model] = MAKE, MODEL
    notes[base.Orientation] = orientation
    notes[base.DateTime] = stamp
    notes.get_ifd(detail).update(
        {
            base.DateTimeOriginal: stamp,
            base.DateTimeDigitized: stamp,
            base.OffsetTime: offset,
            base.OffsetTimeOriginal: offset,
            base.FNumber: IFDRational(28, 10),
            base.ExposureTime: IFDRational(1, 60),
            base.ISOSpeedRatings: 200,
            base.FocalLength: IFDRational(50, 1),
            base.ColorSpace: 1,
        }
    )
    if gps is not None:
        notes.get_ifd(place).update(_position(*gps))
    return notes


def _position(latitude: float, longitude: float) -> dict[int, object]:
    tag = ExifTags.GPS
    return {
        tag.GPSVersionID: b"\x02\x03\x00\x00",
        tag.GPSLatitudeRef: "N" if latitude >= 0 else "S",
        tag.GPSLatitude: _degrees(latitude),
        tag.GPSLongitudeRef: "E" if longitude >= 0 else "W",
        tag.GPSLongitude: _degrees(longitude),
        tag.GPSMapDatum: "WGS-84",
    }


def _degrees(angle: float) -> tuple[IFDRational, IFDRational, IFDRational]:
    hundredths = round(Fraction(str(abs(angle))) * 360_000)
    minutes, seconds = divmod(hundredths, 6000)
    degrees, minutes = divmod(minutes, 60)
    return IFDRational(degrees), IFDRational(minutes), IFDRational(seconds, 100)
