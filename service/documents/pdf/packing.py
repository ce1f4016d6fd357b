"""Compresses a document's streams once, and soon after they are made.

Left to itself the writer does it as it writes, at zlib's highest level, and once more for
the file's identifier, with every stream of the document held as it was drawn until then.
"""

import zlib

import pydyf

LEVEL = 6
"""The highest takes three times as long for a record's JSON, and saves three in a hundred."""


def pack(pdf: pydyf.PDF) -> None:
    """Compress what is to be compressed (ISO 32000-1, 7.4.4); streams that are to stay readable do."""
    for each in pdf.objects:
        if isinstance(each, pydyf.Stream) and each.compress:
            _pack(each)


def _pack(stream: pydyf.Stream) -> None:
    """Joined as the writer would join them: pieces are text, bytes or objects of a PDF."""
    plain = pydyf.Stream(stream.stream, compress=False).data
    begins = plain.index(b"stream\n") + len(b"stream\n")
    packer = zlib.compressobj(LEVEL)
    packed = packer.compress(plain[begins : -len(b"\nendstream")]) + packer.flush()
    stream.stream, stream.compress = [packed], False
    stream.extra["Filter"] = "/FlateDecode"
