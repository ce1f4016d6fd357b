"""Pixel data of PNG files: broken, short, long; whole ones of every kind pass."""

import struct
import time
import zlib

import pytest
from PIL import Image

from service.errors import InvalidInput
from service.usecases.work.images import made_anew
from service.usecases.work.png import check_pixels
from tests.pictures import pixels, png_chunk, written

WIDTH, HEIGHT = 96, 64
ROW = 1 + 3 * WIDTH
HEAD = struct.pack(">2I5B", WIDTH, HEIGHT, 8, 2, 0, 0, 0)
ROWS = bytes(ROW * HEIGHT)
WHOLE = zlib.compress(ROWS)


def png(*data: bytes, head: bytes = HEAD) -> bytes:
    """A PNG with these parts of pixel data, each with a checksum that fits (W3C PNG, 5.3)."""
    parts = b"".join(png_chunk(b"IDAT", part) for part in data)
    return b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", head) + parts + png_chunk(b"IEND", b"")


def with_filter(row: int) -> bytes:
    return zlib.compress(ROWS[: row * ROW] + b"\x05" + ROWS[row * ROW + 1 :])


BROKEN = {
    "no pixels": [b""],
    "no stream": [b"garbage" * 100],
    "half of the rows": [zlib.compress(ROWS[: len(ROWS) // 2])],
    "a byte less": [zlib.compress(ROWS[:-1])],
    "a byte more": [zlib.compress(ROWS + b"x")],
    "a row more": [zlib.compress(ROWS + bytes(ROW))],
    "a stream cut short": [WHOLE[:-6]],
    "no checksum": [WHOLE[:-4]],
    "another checksum": [WHOLE[:-1] + bytes([WHOLE[-1] ^ 1])],
    "something behind it": [WHOLE + b"x"],
    "a part behind it": [WHOLE, b"x"],
    "no filter in the first row": [with_filter(0)],
    "no filter in the last row": [with_filter(HEIGHT - 1)],
}


@pytest.mark.parametrize("what", BROKEN)
def test_broken_pixel_data_is_refused_though_its_checksums_fit(what: str) -> None:
    with pytest.raises(InvalidInput):
        made_anew(png(*BROKEN[what]), "image/png", most_pixels=WIDTH * HEIGHT)


def test_pixel_data_in_parts_is_whole() -> None:
    check_pixels(png(WHOLE[:9], b"", WHOLE[9:]))


@pytest.mark.parametrize("kind", ["L", "LA", "RGB", "RGBA"])
def test_whole_files_of_every_kind_pass(kind: str) -> None:
    check_pixels(written(pixels().convert(kind), "PNG"))


@pytest.mark.parametrize("size", [(1, 1), (2, 3), (5, 4), (8, 8), (13, 1)])
def test_interlaced_rows_are_counted_pass_by_pass(size: tuple[int, int]) -> None:
    """Adam7 by its picture (8.1): a pixel's pass stands at its place in a square of eight."""
    picture = ["16462646", "77777777", "56565656", "77777777", "36463646", "77777777", "56565656", "77777777"]
    width, height = size
    rows = b""
    for number in "1234567":
        for y in range(height):
            columns = sum(picture[y % 8][x % 8] == number for x in range(width))
            rows += bytes(1 + 3 * columns) if columns else b""
    head = struct.pack(">2I5B", width, height, 8, 2, 0, 0, 1)
    check_pixels(png(zlib.compress(rows), head=head))
    with pytest.raises(ValueError, match="other pixels"):
        check_pixels(png(zlib.compress(rows + b"\0"), head=head))


def test_a_photo_of_a_camera_s_size_takes_a_moment() -> None:
    content = written(Image.new("RGB", (4000, 3000), (90, 80, 70)), "PNG")
    began = time.process_time()
    check_pixels(content)
    assert time.process_time() - began < 2
