"""What of a camera's notes is kept: when and where a photo was taken.

The tags are those of Exif (CIPA DC-008). A note that is missing, unreadable or outside its
range is not known: nothing is guessed in its place.
"""

import math
import struct
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from PIL.ExifTags import GPS, IFD, Base
from PIL.Image import Exif, Image

UNREADABLE = (ArithmeticError, LookupError, OSError, SyntaxError, TypeError, ValueError, struct.error)
"""What the reader of the notes raises when they are damaged."""


def notes(image: Image) -> Exif:
    """The camera's notes of an image; none where they cannot be read."""
    try:
        return image.getexif()
    except UNREADABLE:
        return Exif()


def taken_at(found: Exif) -> datetime | None:
    """When the photo was taken, in UTC; None without its offset from UTC."""
    tags = _group(found, IFD.Exif)
    written = f"{tags.get(Base.DateTimeOriginal)} {tags.get(Base.OffsetTimeOriginal)}"
    try:
        moment = datetime.strptime(written, "%Y:%m:%d %H:%M:%S %z")
    except ValueError:
        return None
    # A clock that was never set starts in another age.
    return moment.astimezone(UTC) if 2000 <= moment.year <= 2200 else None


def place(found: Exif) -> tuple[float | None, float | None]:
    """Latitude and longitude in degrees (WGS 84), north and east positive; both or neither."""
    tags = _group(found, IFD.GPSInfo)
    latitude = _degrees(tags.get(GPS.GPSLatitude), tags.get(GPS.GPSLatitudeRef), ("N", "S"), most=90)
    longitude = _degrees(tags.get(GPS.GPSLongitude), tags.get(GPS.GPSLongitudeRef), ("E", "W"), most=180)
    return (None, None) if latitude is None or longitude is None else (latitude, longitude)


def _group(found: Exif, name: IFD) -> dict[int, Any]:
    try:
        return dict(found.get_ifd(name))
    except UNREADABLE:
        return {}


def _degrees(parts: Any, side: Any, sides: Sequence[str], *, most: float) -> float | None:
    """Degrees, minutes and seconds as one figure, to a ten-millionth of a degree (a centimetre)."""
    try:
        degrees, minutes, seconds = (float(part) for part in parts)
        sign = (1, -1)[sides.index(side)]
    except UNREADABLE:
        return None
    value = degrees + minutes / 60 + seconds / 3600
    known = math.isfinite(value) and 0 <= value <= most
    return round(sign * value, 7) if known else None
