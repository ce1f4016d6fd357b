"""A paper made piece by piece, each in a process of its own, which gives back what it took."""

import gc
from collections.abc import Callable
from functools import partial
from io import BufferedRandom
from os import SEEK_END
from tempfile import TemporaryFile
from typing import Any, Protocol

from service.documents.pdf import joining
from service.documents.pdf.apart import made_apart
from service.documents.pdf.cutting import Piece
from service.documents.pdf.writing import HEADER, Reached

PIECE_S, PIECE_MIB = 300, 1_024
"""The most that a piece takes of time and memory; less where whoever makes it may take less."""

Finisher = Callable[[Any, Any], None]
"""Is given the renderer's document and its PDF before that is written."""


class Laid(Protocol):
    """Lays out a piece, and gives what came of it to `last`."""

    def __call__(self, html: str, last: Finisher, *, first: bool) -> None: ...


def in_pieces(pieces: list[Piece], lay_out: Laid) -> bytes:
    """The file of a paper; the pieces are taken out of their list, and let go of one by one."""
    # What the paper was written from hangs together in a circle, and would be with each piece.
    gc.collect()
    with TemporaryFile() as file:
        file.write(HEADER)
        joined: list[joining.Joined] = []
        while pieces:
            so_far = joined[-1].reached if joined else Reached()
            # It is inherited with what was written to it.
            file.flush()
            make = partial(_appended, pieces.pop(0), lay_out, file, so_far)
            joined.append(joining.heard(made_apart(make, limit_s=PIECE_S, limit_mib=PIECE_MIB)))
            file.seek(0, SEEK_END)
        joining.finish(file, joined)
        file.seek(0)
        return file.read()


def _appended(piece: Piece, lay_out: Laid, file: BufferedRandom, so_far: Reached) -> bytes:
    """Lay out a piece at the end of the file; returns what is told of it."""
    told: list[bytes] = []

    def last(document: Any, pdf: Any) -> None:
        told.append(joining.append(document, pdf, file, so_far).told())

    lay_out(piece.html(so_far.pages), last, first=so_far == Reached())
    file.flush()
    return told[0]
