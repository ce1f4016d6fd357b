"""Canonical JSON is what the standard says and the library that knows it writes, number for number."""

import random
import struct
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
import rfc8785

from service.store.types import Deflated
from service.usecases.base.canonical import canonical, canonical_bytes
from service.usecases.base.json import to_json
from tests.service.usecases.base.test_json import WHOLE

# RFC 8785, appendix B: the bits of a double, and how it is written.
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}
ODD_TEXTS = [
    "",
    "a",
    "A",
    "é",
    "\u20ac",
    "\ue000",
    "\U0001f600",
    '\x01\n\t\x7f"\\/',
    "1.0,",
    ":2.0}",
    "\u2028",
]


@pytest.mark.parametrize(
    "value",
    [
        {},
        {"b": 1.0, "a": 1e21, "_": None, "A": "\u20ac", "parts": [], "nested": {"z": 1, "é": [0.1], "a": 2}},
        {"parts": [{"y": 1.50, "x": -0.0}, {}, "text", None, True]},
        {"day": date(2026, 11, 25), "total": Decimal("1.10"), "of": ({"a": 1},), "whole": WHOLE},
    ],
)
def test_bit_by_bit_it_is_the_same_canonical_json(value: dict[str, object]) -> None:
    """Against rfc8785, which writes all of it at once."""
    assert b"".join(canonical(value)) == rfc8785.dumps(to_json(value))
    deflated = {**value, "parts": [Deflated.of(to_json(each)) for each in value.get("parts", [])]}  # type: ignore[attr-defined]
    assert b"".join(canonical(deflated)) == rfc8785.dumps(to_json({"parts": [], **value}))


@pytest.mark.parametrize(("bits", "text"), NUMBERS.items())
def test_a_number_is_written_as_the_standard_says(bits: str, text: str) -> None:
    (figure,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical_bytes({"a": [figure], "b": figure}) == f'{{"a":[{text}],"b":{text}}}'.encode()


def test_whatever_it_is_it_is_what_the_library_writes() -> None:
    """Against rfc8785: figures of every size, texts and names of every plane, one in the other."""
    some = random.Random(8785)

    def figure() -> Any:
        size = 10 ** some.uniform(-12, 24)
        kinds = (size, -size, round(size), float(round(size)), round(size, 3), some.randrange(10**15))
        return some.choice([each for each in kinds if not isinstance(each, int) or abs(each) < 2**53])

    def value(depth: int) -> Any:
        if depth and some.random() < 0.6:
            members = [value(depth - 1) for _ in range(some.randrange(5))]
            names = some.sample(ODD_TEXTS, len(members))
            return members if some.random() < 0.4 else dict(zip(names, members, strict=True))
        return some.choice([figure(), figure(), some.choice(ODD_TEXTS), True, None])

    for _ in range(400):
        whole = {"parts": [value(4) for _ in range(3)], "one": value(5)}
        assert canonical_bytes(whole) == rfc8785.dumps(whole)


@pytest.mark.parametrize("whole", [2**53 + 1, -(2**60)])
def test_a_whole_number_that_no_double_holds_is_refused(whole: int) -> None:
    with pytest.raises(rfc8785.IntegerDomainError):
        canonical_bytes({"parts": [{"count": whole}]})
