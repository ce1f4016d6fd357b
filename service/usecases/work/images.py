"""Photos from strangers: looked at closely, then made anew from their pixels alone.

What comes in is a JPEG or a PNG by its content, whole, of an ordinary kind and size, and
nothing else besides. What is kept is a JPEG that was written here: comments, thumbnails,
colour profiles, cameras' notes and whatever hides behind the picture stay outside.
"""

import io
import re
import warnings
import zipfile
import zlib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from PIL import Image, ImageFile, ImageOps
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile

from service.engine.ground.messages import Message, message
from service.errors import Fault, InvalidInput, WrongKind
from service.usecases.work import exif, jpeg, png

LONGEST_PX = 1600
QUALITY = 80

MAGIC: Mapping[bytes, str] = {b"\xff\xd8\xff": "image/jpeg", b"\x89PNG\r\n\x1a\n": "image/png"}
READERS: Mapping[str, type[ImageFile.ImageFile]] = {"image/jpeg": JpegImageFile, "image/png": PngImageFile}
SORTS = {"L", "LA", "RGB", "RGBA"}
OPAQUE = 255

FOREIGN = re.compile(
    rb"<(?:!doctype\s+html|html[\s>]|script[\s>]|svg[^<>]{0,200}xmlns)|%PDF-\d\.\d", re.IGNORECASE
)
"""How a web page, a drawing or a PDF begins: long enough not to come up by chance."""

SCAN = re.compile(rb"\xff\xda\x00[\x08\x0a\x0c\x0e][\x01-\x04]")
MOST_SCANS = 64
"""Scan headers in a JPEG (ITU-T T.81, B.2.3): about ten are usual, thousands keep a machine busy."""

DAMAGED = (*exif.UNREADABLE, zlib.error)
"""What the readers raise when a file does not hold what it should."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photo as it is kept."""

    content: bytes
    width_px: int
    height_px: int
    taken_at: datetime | None
    latitude: float | None
    longitude: float | None


def made_anew(content: bytes, declared: str, *, most_pixels: int) -> Picture:
    """The photo in `content`, upright, its longest side at most LONGEST_PX, as JPEG without notes.

    `declared` is the media type that the sender gave. Raises WrongKind where the content is
    of another one, InvalidInput where it is damaged, of an unusual sort or too large.
    """
    _check_kind(content, declared)
    _check_single(content)
    with warnings.catch_warnings():
        # What the reader only warns of is in the camera's notes, and those are not kept.
        warnings.simplefilter("ignore")
        try:
            return _read(content, READERS[declared], most_pixels)
        except DAMAGED:
            raise _refused(message("images.damaged")) from None


def kind_of(content: bytes) -> str | None:
    """The media type that the content begins as, None where it is neither a JPEG nor a PNG."""
    return next((kind for magic, kind in MAGIC.items() if content.startswith(magic)), None)


def _refused(detail: Message) -> InvalidInput:
    return InvalidInput(Fault("", detail))


def _check_kind(content: bytes, declared: str) -> None:
    if not content:
        raise _refused(message("images.none"))
    kind = kind_of(content)
    if kind is None:
        raise WrongKind(message("images.neither"))
    if kind != declared:
        raise WrongKind(message("images.other_kind", kind=kind, declared=declared))


def _check_single(content: bytes) -> None:
    """Refuse a file that other programs take for something else, or that is made to keep a machine busy."""
    if zipfile.is_zipfile(io.BytesIO(content)) or FOREIGN.search(content):
        raise _refused(message("images.something_besides"))
    if len(SCAN.findall(content)) > MOST_SCANS:
        raise _refused(message("images.too_many_scans", most=MOST_SCANS))


def _read(content: bytes, reader: type[ImageFile.ImageFile], most_pixels: int) -> Picture:
    # The PDF renderer lets incomplete images pass, and switches that on for the whole process.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    # Verifying uses the reader up: it is opened a second time.
    _check(reader(io.BytesIO(content)), most_pixels)
    (png if reader is PngImageFile else jpeg).check_pixels(content)
    image = reader(io.BytesIO(content))
    notes = exif.notes(image)
    kept = _upright(image)
    written = _written(kept)
    latitude, longitude = exif.place(notes)
    return Picture(
        content=written,
        width_px=kept.width,
        height_px=kept.height,
        taken_at=exif.taken_at(notes),
        latitude=latitude,
        longitude=longitude,
    )


def _check(image: ImageFile.ImageFile, most_pixels: int) -> None:
    """Refuse by the header alone, before a pixel is decoded; then verify the file's checksums."""
    if image.width * image.height > most_pixels:
        raise _refused(message("images.too_large", width=image.width, height=image.height, most=most_pixels))
    how = image.tile[0].args
    if (how[0] if isinstance(how, tuple) else how) not in SORTS:
        raise _refused(message("images.other_colours"))
    if getattr(image, "is_animated", False):
        raise _refused(message("images.moves"))
    image.verify()


def _upright(image: Image.Image) -> Image.Image:
    """The image in RGB and in its final size and position; refused where it is transparent."""
    if "transparency" in image.info or _shows_through(image):
        raise _refused(message("images.transparent"))
    image.thumbnail((LONGEST_PX, LONGEST_PX))
    image = image.convert("RGB")
    # Turned before the rest of the notes is read: what is damaged there is not kept anyway.
    with suppress(*exif.UNREADABLE):
        ImageOps.exif_transpose(image, in_place=True)
    return image


def _shows_through(image: Image.Image) -> bool:
    if image.mode not in ("LA", "RGBA"):
        return False
    # Of one channel: a pair of figures.
    least, _ = image.getchannel("A").getextrema()
    return not isinstance(least, tuple) and least < OPAQUE


def _written(image: Image.Image) -> bytes:
    # The writer would take a comment over from there.
    image.info = {}
    file = io.BytesIO()
    image.save(file, "JPEG", quality=QUALITY)
    return file.getvalue()
