"""The pixel data of a JPEG, held against what its header promises (ITU-T T.81, B.1 and F.2.2.5).

The library that decodes it fills with grey what is missing before the end mark, and says nothing. So
the last scan is made longer by what nothing should need: where that changes a pixel, something was
missing. A JPEG has no checksum: what was altered and can still be decoded to its end is not found.
"""

import io
import re

from PIL.JpegImagePlugin import JpegImageFile

END = b"\xff\xd9"
START_OF_SCAN, WITHOUT_LENGTH = 0xDA, {0x01, *range(0xD0, 0xD9)}
NEXT_MARKER = re.compile(rb"\xff+[\x01-\xcf\xd8-\xfe]")
"""Within a scan a zero after 0xFF belongs to the data, and restarts go on with it (B.1.1.5)."""
BEYOND = b"\x55" * 4096
"""Short codes, in every table that is in use: whole blocks of pixels, and no marker."""


def check_pixels(content: bytes) -> None:
    """Raise ValueError unless all pixels are there; OSError where they cannot be decoded at all."""
    # What fills up to a marker is no data: what follows it would be taken for a marker (B.1.1.2).
    data = content[: _end_of_data(content)].rstrip(END[:1])
    if _pixels(data + END) != _pixels(data + BEYOND + END):
        raise ValueError("fewer pixels than the header says")


def _end_of_data(content: bytes) -> int:
    """Where the last scan ends: before the end mark of the image; others may lie behind it."""
    place = len(END)
    while content[place : place + 2] != END:
        place = _next(content, place)
    return place


def _next(content: bytes, place: int) -> int:
    """The marker after the one at `place`, with what belongs to that."""
    if place + 2 > len(content) or content[place] != END[0]:
        raise ValueError("no marker where one should be")
    kind = content[place + 1]
    if kind == END[0]:
        return place + 1
    if kind in WITHOUT_LENGTH:
        return place + 2
    place += 2 + int.from_bytes(content[place + 2 : place + 4])
    if kind != START_OF_SCAN:
        return place
    found = NEXT_MARKER.search(content, place)
    if found is None:
        raise ValueError("a scan without an end")
    return found.start()


def _pixels(content: bytes) -> bytes:
    image = JpegImageFile(io.BytesIO(content))
    image.load()
    return image.tobytes()
