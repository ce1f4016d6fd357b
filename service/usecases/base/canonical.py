"""Canonical JSON (RFC 8785): of one content there is one text, and so one digest.

The library that knows the standard writes in Python, character by character. A library in C writes the
same, four times as fast, but for the numbers that it shows otherwise and for names beyond the basic plane,
which it sorts otherwise: these are left to the one that knows.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from io import BytesIO
from json import JSONDecoder
from typing import Any

import orjson
import rfc8785

from service.usecases.base.json import to_json, written

SORTED = orjson.OPT_SORT_KEYS | orjson.OPT_STRICT_INTEGER
"""By code points, where the standard sorts by halves of UTF-16 (3.2.3): alike in the basic plane."""
BEYOND = re.compile(rb"[\xf0-\xf4]")
"""What a character beyond that plane begins with in UTF-8 (RFC 3629, 3)."""
SMALL = 1e-5
"""Less than this has an exponent or not by other rules than the standard's (3.2.2.3)."""
EXACT = 2**53


def canonical(value: Mapping[str, Any]) -> Iterator[bytes]:
    """The canonical JSON of a mapping, bit by bit: of a long list one element is plain at once.

    Its own names are in ASCII, which canonical JSON sorts as Python does.
    """
    for place, name in enumerate(sorted(value)):
        yield (b"," if place else b"{") + rfc8785.dumps(name) + b":"
        each = value[name]
        yield from _listed(each) if isinstance(each, (list, tuple)) else [_canonical(each)]
    yield b"}" if value else b"{}"


def canonical_bytes(value: Mapping[str, Any]) -> bytes:
    """The same in one piece, and never in two at once."""
    whole = BytesIO()
    for some in canonical(value):
        whole.write(some)
    return whole.getvalue()


def _listed(values: Sequence[Any]) -> Iterator[bytes]:
    yield b"["
    for place, each in enumerate(values):
        yield (b"," if place else b"") + _canonical(each)
    yield b"]"


def _canonical(value: Any) -> bytes:
    # What the library in C refuses, such as a whole number that no double holds, is the other's to judge.
    with suppress(orjson.JSONEncodeError):
        text = orjson.dumps(_DECODER.decode(written(value).decode()), option=SORTED)
        if not BEYOND.search(text):
            return text
    return rfc8785.dumps(to_json(value))


def _number(text: str) -> int | float | orjson.Fragment:
    """What is written as the standard writes this number, which has a fraction or an exponent."""
    figure = float(text)
    if figure.is_integer() and abs(figure) < EXACT:
        return int(figure)
    if figure.is_integer() or abs(figure) < SMALL:
        return orjson.Fragment(rfc8785.dumps(figure))
    return figure


_DECODER = JSONDecoder(parse_float=_number)
