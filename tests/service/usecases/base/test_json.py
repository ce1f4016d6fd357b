"""Dataclasses as plain JSON and back: nothing is lost, guessed or let pass."""

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from uuid import UUID

import orjson
import pytest
from cattrs.errors import ClassValidationError

from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message, message, to_plain
from service.engine.ground.vocabulary import Element
from service.store.types import Deflated
from service.usecases.base.json import (
    but_workings,
    from_json,
    from_json_again,
    inflating,
    kept,
    read_each_strictly,
    read_strictly,
    to_json,
    written,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A member of every kind."""

    element: Element
    price: Decimal
    day: date
    lengths_m: tuple[float, ...]
    remark: str | None = None


WHOLE = Whole(element=Element.WALL, price=Decimal("10.10"), day=date(2026, 11, 25), lengths_m=(1.0, 0.1))
PLAIN = {"element": "wall", "price": "10.10", "day": "2026-11-25", "lengths_m": [1.0, 0.1], "remark": None}


def test_it_goes_to_json_and_comes_back_the_same() -> None:
    plain = json.loads(json.dumps(to_json(WHOLE)))
    assert plain == PLAIN
    assert from_json(Whole, plain) == WHOLE


def test_moments_are_in_utc_with_z() -> None:
    """RFC 3339, 4.1 and 5.6."""
    east = timezone(timedelta(hours=2))
    assert to_json(datetime(2026, 7, 1, 8, 30, tzinfo=east)) == "2026-07-01T06:30:00Z"
    assert to_json(datetime(2026, 7, 1, 8, 30, 0, 5, tzinfo=UTC)) == "2026-07-01T08:30:00.000005Z"


def test_identifiers_are_text() -> None:
    text = "0197f000-0000-7000-8000-000000000000"
    assert to_json({"id": UUID(text)}) == {"id": text}


def test_a_message_keeps_code_and_values_and_has_its_words_beside_them() -> None:
    said = message("formula.bags")
    plain = to_json(said)
    assert plain["code"] == "formula.bags"
    assert plain["text"] not in ("", "formula.bags")
    assert from_json(Message, plain) == said


@pytest.mark.parametrize(
    "changes",
    [
        {"colour": "red"},
        {"element": "cellar"},
        {"price": "ten"},
        {"day": "25 November"},
        {"lengths_m": ["one"]},
    ],
    ids=str,
)
def test_what_does_not_fit_is_an_error(changes: dict[str, object]) -> None:
    with pytest.raises(ClassValidationError):
        from_json(Whole, {**PLAIN, **changes})


def test_what_is_missing_is_an_error_unless_it_may_be() -> None:
    assert from_json(Whole, {name: PLAIN[name] for name in PLAIN if name != "remark"}) == WHOLE
    with pytest.raises(ClassValidationError):
        from_json(Whole, {name: PLAIN[name] for name in PLAIN if name != "day"})


@pytest.mark.parametrize("content", [b"", b"{", b"\xff", b'{"a":1,"a":1}', b"[NaN]", b"[-Infinity]", b"[1]x"])
def test_a_file_is_read_strictly(content: bytes) -> None:
    """RFC 8259; of two alike names each reader may take its own (4)."""
    assert read_strictly(b' {"a": [1, {"b": null}]} ') == {"a": [1, {"b": None}]}
    with pytest.raises(ValueError, match=r".*"):
        read_strictly(content)


def test_what_is_kept_for_a_column_is_written_once_and_plain_wherever_it_goes() -> None:
    written = kept({"price": Decimal("1.10")})
    assert orjson.dumps([written]) == b'[{"price":"1.10"}]'
    assert to_json({"row": written}) == {"row": {"price": "1.10"}}
    # A key that is no text makes the library give up, and nothing else of it.
    assert to_json({2026: written}) == {2026: {"price": "1.10"}}


def test_a_sentence_that_is_written_once_is_the_same_wherever_it_stands() -> None:
    """Numbers that are equal are still written as they are, and what is sorted is sorted in it too."""
    said = [message("api.too_many", limit="60", seconds=count) for count in (1, 1.0, True)]
    for each in (*said, message("formula.bags"), *said):
        assert json.loads(written([each])) == [to_json(each)] == [{**to_plain(each), "text": in_words(each)}]
        assert repr(to_json(each)["values"]) == repr(to_plain(each)["values"])
        plain = json.dumps(to_json(each), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        assert written(each, sorted_by_name=True) == plain.encode()


def test_what_is_deflated_is_written_as_what_it_is() -> None:
    deflated = Deflated.of({"a": [1, 2.5, "é"]})
    assert written({"row": deflated}) == '{"row":{"a":[1,2.5,"é"]}}'.encode()
    assert to_json([deflated]) == [{"a": [1, 2.5, "é"]}]
    assert to_json({2026: deflated}) == {2026: {"a": [1, 2.5, "é"]}}
    assert orjson.dumps([deflated], inflating) == '[{"a":[1,2.5,"é"]}]'.encode()
    with pytest.raises(TypeError, match="Decimal"):
        orjson.dumps([Decimal(1)], inflating)


def test_workings_stay_as_they_are_where_the_rest_is_made_plain() -> None:
    working = Deflated.of({"label": "W1"})
    said = {"day": date(2026, 11, 25), "takeoff": {"mass_kg": 1.5, "cavities": [working]}}
    plain = but_workings(said)
    assert plain["day"] == "2026-11-25"
    assert plain["takeoff"]["cavities"][0] is working
    assert plain["takeoff"]["mass_kg"] == 1.5


@pytest.mark.parametrize("elements", [b"", b"1", b'{"a":1},{"a":[1,2]}', '"é",null'.encode()])
def test_elements_are_read_one_after_another(elements: bytes) -> None:
    read_each_strictly(elements)


@pytest.mark.parametrize("elements", [b"1 2", b"1,", b'{"a":1,"a":1}', b"{}]", b"NaN", b"\xff", b",1"])
def test_elements_are_read_strictly(elements: bytes) -> None:
    with pytest.raises(ValueError, match=r".*"):
        read_each_strictly(elements)


def test_what_is_read_again_is_what_it_says_to_the_letter() -> None:
    once = from_json_again(Whole, PLAIN)
    assert once == WHOLE
    assert from_json_again(Whole, {**PLAIN}) is once
    assert from_json_again(Whole, {**PLAIN, "lengths_m": [1, 0.1]}) is not once
    assert from_json_again(Whole, {**PLAIN, "remark": "x"}).remark == "x"
    with pytest.raises(ClassValidationError):
        from_json_again(Whole, {**PLAIN, "colour": "red"})
