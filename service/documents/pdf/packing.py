"""Writes each object of a document once, its streams compressed, before the file is put together.

Left to itself the writer does all of that twice, for the file and for its identifier, with
zlib at its highest level, and holds every stream as it was drawn until then.
"""

import zlib

import pydyf

FREE = "f"
LEVEL = 6
"""The highest takes three times as long for a record's JSON, and saves three in a hundred."""


class Written(pydyf.Object):
    """An object that was written already: the bytes that stand between `obj` and `endobj`."""

    def __init__(self, written: pydyf.Object) -> None:
        super().__init__()
        self.number, self.generation, self.free = written.number, written.generation, written.free
        self._compressible: bool = written.compressible
        self._data: bytes = written.data

    @property
    def compressible(self) -> bool:
        """Whether it may go into an object stream (ISO 32000-1, 7.5.7)."""
        return self._compressible

    @property
    def data(self) -> bytes:
        """The object's bytes."""
        return self._data


def pack(pdf: pydyf.PDF) -> None:
    """Write every object in its place; whatever is still to be changed has to be changed before."""
    for place, each in enumerate(pdf.objects):
        if isinstance(each, pydyf.Stream) and each.compress:
            _compress(each)
        if each.free != FREE:
            pdf.objects[place] = Written(each)


def _compress(stream: pydyf.Stream) -> None:
    """By the Flate method of ISO 32000-1, 7.4.4."""
    packer = zlib.compressobj(LEVEL)
    stream.stream = [packer.compress(_plain(stream)) + packer.flush()]
    stream.compress = False
    stream.extra["Filter"] = "/FlateDecode"


def _plain(stream: pydyf.Stream) -> bytes:
    """The bytes of a stream; an attachment's, which may be large, as they are."""
    match stream.stream:
        case [bytes() as alone]:
            return alone
    whole: bytes = pydyf.Stream(stream.stream).data
    return whole[whole.index(b"stream\n") + len(b"stream\n") : -len(b"\nendstream")]
