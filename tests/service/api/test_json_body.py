"""JSON bodies are read strictly: RFC 8259, and RFC 7493 where that is stricter."""

import json

import pytest

from service.api.json_body import DEEPEST, LARGEST_INTEGER, LONGEST_KEY, MOST_FAULTS, faults, read
from service.errors import Malformed
from tests.refusals import refused


def nested(depth: int) -> bytes:
    return b"[" * depth + b"]" * depth


@pytest.mark.parametrize(
    ("content", "value"),
    [
        (b'{"a": [1, 2.5, "x", true, null]}', {"a": [1, 2.5, "x", True, None]}),
        ('"\u00e4"'.encode(), "ä"),
        (b'"\\ud83d\\ude00"', "\U0001f600"),
        (str(LARGEST_INTEGER).encode(), LARGEST_INTEGER),
        (nested(DEEPEST - 1), json.loads(nested(DEEPEST - 1))),
    ],
)
def test_what_is_json_is_read(content: bytes, value: object) -> None:
    assert read(content) == value


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "not JSON"),
        (b"{", "not JSON"),
        (b"\xff", "not UTF-8"),
        (b'{"a": 1, "a": 2}', "twice"),
        (b'{"a": {"b": 1, "b": 1}}', "twice"),
        (b"NaN", "not a number"),
        (b"-Infinity", "not a number"),
        (b"1e999", "too large"),
        (str(LARGEST_INTEGER + 1).encode(), "too large"),
        (b"9" * 100_000, "too large"),
        (b'"\\u0000"', "NUL"),
        (b'"\\ud800"', "surrogate"),
        (b'{"\\ud800": 1}', "surrogate"),
        (nested(DEEPEST + 1), "too deeply"),
        (nested(100_000), "too deeply"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_what_is_not_is_refused_with_its_reason(content: bytes, why: str) -> None:
    with refused(Malformed, why):
        read(content)


def test_faults_are_named_by_pointers() -> None:
    """RFC 6901, 3: ~ and / inside a name are written ~0 and ~1."""
    messages = {"json": {"cavities": {0: {"a/b~c": ["Wrong."]}, "_schema": ["Too few."]}}}
    found = {(fault.pointer, str(fault.detail)) for fault in faults(messages)}
    assert found == {("/cavities/0/a~1b~0c", "Wrong."), ("/cavities", "Too few.")}


def test_faults_have_an_end_and_so_have_their_names() -> None:
    found = faults({f"{number:0{LONGEST_KEY + 50}}": ["Wrong."] for number in range(MOST_FAULTS + 50)})
    assert len(found) == MOST_FAULTS
    assert all(len(fault.pointer) == 1 + LONGEST_KEY + 1 for fault in found)
