"""The pixel data of a PNG, held against what its header promises (W3C PNG, third edition, 7 to 10).

The library that decodes it fills with black what is missing or damaged, and says nothing.
"""

import struct
import zlib
from collections.abc import Iterator

SIGNATURE_BYTES = 8
CHANNELS = {0: 1, 2: 3, 4: 2, 6: 4}
"""Of 8 bits each, by the colour types that are taken in."""
LAST_FILTER = 4
PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
"""Adam7: first column and row, and the steps between them (8.1)."""
PIECE_BYTES = 1 << 16


def check_pixels(content: bytes) -> None:
    """Raise ValueError unless every row is there, by a filter that there is, and nothing besides."""
    chunks = list(_chunks(content))
    width, height, _, colour, _, _, interlaced = struct.unpack(">2I5B", chunks[0][1])
    rows = _row_bytes(width, height, CHANNELS[colour], passes=PASSES if interlaced else ((0, 0, 1, 1),))
    due, end = 0, 0
    for piece in _inflated(data for kind, data in chunks if kind == b"IDAT"):
        start, end = end, end + len(piece)
        while due < end:
            if piece[due - start] > LAST_FILTER:
                raise ValueError("a filter that there is not")
            due += next(rows, end)
    if due != end or next(rows, None) is not None:
        raise ValueError("other pixels than the header says")


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    place = SIGNATURE_BYTES
    while place < len(content):
        length, kind = struct.unpack_from(">I4s", content, place)
        yield kind, content[place + 8 : place + 8 + length]
        place += 12 + length


def _row_bytes(
    width: int, height: int, channels: int, *, passes: tuple[tuple[int, int, int, int], ...]
) -> Iterator[int]:
    """How many bytes each row has, its filter included, pass by pass."""
    for left, top, across, down in passes:
        columns = len(range(left, width, across))
        if columns:
            yield from (1 + columns * channels for _ in range(top, height, down))


def _inflated(parts: Iterator[bytes]) -> Iterator[bytes]:
    """What is compressed in the parts, piece by piece; raises ValueError where it ends too early or late."""
    stream = zlib.decompressobj()
    for part in parts:
        if stream.eof:
            raise ValueError("data behind the end")
        left = part
        while left:
            yield stream.decompress(left, PIECE_BYTES)
            left = stream.unconsumed_tail
    yield stream.flush()
    if not stream.eof or stream.unused_data:
        raise ValueError("no whole stream")
