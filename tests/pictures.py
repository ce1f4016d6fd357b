"""Photos as phones make them, and files that only look like photos. All are made here, of nothing."""

import io
import struct
import zipfile
import zlib
from typing import Any

from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

MARK = b"SPECIMEN-MARK-7b1f"
"""What must not be found in anything that is kept."""


def pixels(width: int = 96, height: int = 64, *, shade: int = 0) -> Image.Image:
    """A picture in which no two places look alike; another one for each `shade`."""
    ramp = Image.linear_gradient("L").resize((width, height))
    flat = Image.new("L", (width, height), shade)
    return Image.merge("RGB", (ramp, ramp.transpose(Image.Transpose.FLIP_TOP_BOTTOM), flat))


def written(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    """The picture as a file."""
    file = io.BytesIO()
    image.save(file, kind, **options)
    return file.getvalue()


def notes(**tags: Any) -> Image.Exif:
    """A camera's notes: 25 November 2026, 10:00:30 an hour east of UTC, 48°12'30.5" N 16°22'1.25" E."""
    exif = Image.Exif()
    exif[Base.Make] = exif[Base.Artist] = MARK.decode()
    exif[Base.Orientation] = tags.get("orientation", 1)
    taken = exif.get_ifd(IFD.Exif)
    taken[Base.DateTimeOriginal] = tags.get("time", "2026:11:25 10:00:30")
    if tags.get("offset", "+01:00"):
        taken[Base.OffsetTimeOriginal] = tags.get("offset", "+01:00")
    place = exif.get_ifd(IFD.GPSInfo)
    place[GPS.GPSLatitudeRef], place[GPS.GPSLatitude] = tags.get("latitude", ("N", (48.0, 12.0, 30.5)))
    place[GPS.GPSLongitudeRef], place[GPS.GPSLongitude] = tags.get("longitude", ("E", (16.0, 22.0, 1.25)))
    return exif


def notes_by_hand() -> bytes:
    """Notes put together byte by byte after CIPA DC-008 and TIFF 6.0, big-endian.

    Three directories: the first (orientation 8), the camera's (time and offset), the place's
    (33°51'24.12" S, 151°12'55.8" E); their values stand behind them, from 200 on.
    """
    values: list[bytes] = []

    def kept(value: bytes) -> bytes:
        where = 200 + sum(map(len, values))
        values.append(value)
        return struct.pack(">I", where)

    def text(value: str) -> tuple[int, int, bytes]:
        content = value.encode() + b"\x00"
        return 2, len(content), kept(content) if len(content) > 4 else content.ljust(4, b"\x00")

    def fractions(*pairs: tuple[int, int]) -> tuple[int, int, bytes]:
        return 5, len(pairs), kept(b"".join(struct.pack(">II", *pair) for pair in pairs))

    def directory(*entries: tuple[int, tuple[int, int, bytes]]) -> bytes:
        rows = [struct.pack(">HHI", tag, kind, count) + value for tag, (kind, count, value) in entries]
        return struct.pack(">H", len(entries)) + b"".join(rows) + bytes(4)

    camera = directory((0x9003, text("2026:07:01 23:30:00")), (0x9011, text("+10:00")))
    where = directory(
        (1, text("S")),
        (2, fractions((33, 1), (51, 1), (2412, 100))),
        (3, text("E")),
        (4, fractions((151, 1), (12, 1), (558, 10))),
    )
    first = directory(
        (0x0112, (3, 1, struct.pack(">HH", 8, 0))),
        (0x8769, (4, 1, struct.pack(">I", 60))),
        (0x8825, (4, 1, struct.pack(">I", 100))),
    )
    block = (b"MM\x00\x2a\x00\x00\x00\x08" + first).ljust(60, b"\x00") + camera
    return (block.ljust(100, b"\x00") + where).ljust(200, b"\x00") + b"".join(values)


def photo(shade: int = 0, **tags: Any) -> bytes:
    """A JPEG with a camera's notes."""
    return written(pixels(shade=shade), exif=notes(**tags))


def png_chunk(name: bytes, content: bytes) -> bytes:
    """A chunk with its checksum (ISO/IEC 15948, 5.3)."""
    checksum = struct.pack(">I", zlib.crc32(name + content))
    return struct.pack(">I", len(content)) + name + content + checksum


def png(width: int, height: int, *, depth: int, colour: int, rows: bytes) -> bytes:
    """A PNG by hand: its header (ISO/IEC 15948, 11.2.2), these rows, its end."""
    header = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(rows)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(png_chunk(*chunk) for chunk in chunks)


def jpeg_claiming(width: int, height: int) -> bytes:
    """A JPEG whose frame header (ITU-T T.81, B.2.2) claims another size than it has."""
    file = bytearray(photo())
    frame = file.index(b"\xff\xc0")
    file[frame + 5 : frame + 9] = struct.pack(">HH", height, width)
    return bytes(file)


def jpeg_of_many_scans(scans: int) -> bytes:
    """A progressive JPEG whose last scan comes over and over again."""
    file = written(pixels(), progressive=True)
    last = file[file.rindex(b"\xff\xda") : -2]
    return file[:-2] + last * scans + file[-2:]


def png_with_a_wrong_checksum() -> bytes:
    """A PNG whose pixels are whole; the last byte of their checksum, before the end chunk, is not."""
    file = bytearray(written(pixels(), "PNG"))
    file[-13] ^= 1
    return bytes(file)


def archive() -> bytes:
    """A ZIP archive with one file in it."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as content:
        content.writestr("page.html", MARK)
    return file.getvalue()


HTML = b"<!DOCTYPE html><html><body><script>alert(1)</script>" + MARK + b"</body></html>"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><title>' + MARK + b"</title></svg>"
PDF = b"%PDF-1.7\n" + MARK

# Each with the media type that it is sent under.
OF_ANOTHER_KIND: dict[str, tuple[bytes, str]] = {
    "text": (b"not a picture", "image/jpeg"),
    "page": (HTML, "image/jpeg"),
    "drawing": (SVG, "image/png"),
    "archive": (archive(), "image/jpeg"),
    "gif": (written(pixels(), "GIF"), "image/png"),
    "bitmap": (written(pixels(), "BMP"), "image/jpeg"),
    "tiff": (written(pixels(), "TIFF"), "image/jpeg"),
    "webp": (written(pixels(), "WEBP"), "image/jpeg"),
    "drawing under its own type": (SVG, "image/svg+xml"),
    "jpeg called png": (photo(), "image/png"),
    "png called jpeg": (written(pixels(), "PNG"), "image/jpeg"),
    "jpeg called nothing": (photo(), ""),
}
UNSOUND: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "image/jpeg"),
    "jpeg cut in the middle": (photo()[: len(photo()) // 2], "image/jpeg"),
    "jpeg without its end": (photo()[:-2], "image/jpeg"),
    "jpeg of its first bytes": (photo()[:20], "image/jpeg"),
    "png cut in the middle": (written(pixels(), "PNG")[:-400], "image/png"),
    "png without its end": (written(pixels(), "PNG")[:-12], "image/png"),
    "png with a wrong checksum": (png_with_a_wrong_checksum(), "image/png"),
    "png that moves": (
        written(pixels(), "PNG", save_all=True, append_images=[pixels(shade=90)]),
        "image/png",
    ),
    "jpeg in CMYK": (written(pixels().convert("CMYK")), "image/jpeg"),
    "png with a palette": (written(pixels().convert("P"), "PNG"), "image/png"),
    "png in black and white": (written(pixels().convert("1"), "PNG"), "image/png"),
    "png of 16 bits in grey": (png(2, 2, depth=16, colour=0, rows=2 * bytes(5)), "image/png"),
    "png of 16 bits in RGB": (png(2, 2, depth=16, colour=2, rows=2 * bytes(13)), "image/png"),
    "png of 4 bits": (png(2, 2, depth=4, colour=0, rows=2 * bytes(2)), "image/png"),
    "png that shows through": (written(Image.new("RGBA", (8, 8), (9, 9, 9, 254)), "PNG"), "image/png"),
    "png with a clear colour": (written(pixels(), "PNG", transparency=(0, 0, 0)), "image/png"),
    "huge png": (png(60_000, 60_000, depth=8, colour=2, rows=bytes(1000)), "image/png"),
    "huge jpeg": (jpeg_claiming(65_000, 65_000), "image/jpeg"),
    "jpeg of too many scans": (jpeg_of_many_scans(200), "image/jpeg"),
    "jpeg and archive": (photo() + archive(), "image/jpeg"),
    "png and archive": (written(pixels(), "PNG") + archive(), "image/png"),
    "jpeg and page": (photo() + HTML, "image/jpeg"),
    "jpeg with a page in its comment": (written(pixels(), comment=HTML), "image/jpeg"),
    "jpeg with a drawing in its comment": (written(pixels(), comment=SVG), "image/jpeg"),
    "jpeg and PDF": (photo() + PDF, "image/jpeg"),
}
