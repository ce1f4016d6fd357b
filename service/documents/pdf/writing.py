"""Objects of a PDF written one after another to the end of a file, and where each of them is (ISO 32000-1).

Those that may go into object streams do, some hundred in each: whoever wants one has to read them all.
"""

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO

import pydyf

from service.documents.pdf.packing import LEVEL

HEADER = b"%PDF-1.7\n%\xf0\x9f\x96\xa4\n"
OF_ALL = 8
"""The first numbers are left free, for what a file of several pieces has once."""
AT_ONCE = 500
ROW = (1, 5, 2)
"""Widths of a row of the cross-reference stream (7.5.8.3), in bytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """How far a file has come: its bytes, and how many objects, pages and parents of tags it has."""

    bytes: int = len(HEADER)
    objects: int = OF_ALL
    pages: int = 0
    parents: int = 0


class Writer:
    """Writes objects one after another, those that may into object streams, and notes where each is."""

    def __init__(self, file: BinaryIO, so_far: Reached) -> None:
        self.file, self.at, self.number = file, so_far.bytes, so_far.objects
        self._first = so_far.objects
        self._rows: dict[int, bytes] = {}
        self._waiting: list[tuple[int, bytes]] = []

    def add(self, data: bytes, *, whole: bool = False, number: int | None = None) -> None:
        """Add an object with the next number or a kept one; a `whole` one stands by itself."""
        if number is None:
            number, self.number = self.number, self.number + 1
        if whole:
            self._write(number, data)
        else:
            self._waiting.append((number, data))

    def flush(self) -> None:
        """Write what waits to be put into object streams (7.5.7)."""
        for begins in range(0, len(self._waiting), AT_ONCE):
            self._write_together(self._waiting[begins : begins + AT_ONCE])
        self._waiting.clear()

    def rows(self) -> bytes:
        """The rows of the cross-reference stream, in the order of the numbers."""
        return b"".join(self._rows[number] for number in sorted(self._rows))

    def _write(self, number: int, data: bytes) -> None:
        self._rows[number] = row(1, self.at, 0)
        written = b"%d 0 obj\n%b\nendobj\n" % (number, data)
        self.file.write(written)
        self.at += len(written)

    def _write_together(self, objects: Sequence[tuple[int, bytes]]) -> None:
        number, self.number = self.number, self.number + 1
        places, position = [], 0
        for index, (each, data) in enumerate(objects):
            places.append(b"%d %d" % (each, position))
            position += len(data) + 1
            self._rows[each] = row(2, number, index)
        index_of = b" ".join(places)
        said = {"Type": "/ObjStm", "N": len(objects), "First": len(index_of) + 1}
        content = b"\n".join([index_of, *(data for _, data in objects)])
        self._write(number, deflated(content, said))


def row(*values: int) -> bytes:
    """A row of the cross-reference stream."""
    return b"".join(value.to_bytes(width, "big") for value, width in zip(values, ROW, strict=True))


def deflated(content: bytes, said: dict[str, Any]) -> bytes:
    """A stream, its content deflated, with what is said of it."""
    stream = pydyf.Stream([zlib.compress(content, LEVEL)], {**said, "Filter": "/FlateDecode"})
    return bytes(stream.data)
