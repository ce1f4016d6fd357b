"""Frozen dataclasses that are made faster are otherwise what they were."""

from collections.abc import Callable
from dataclasses import FrozenInstanceError, dataclass, field, replace
from inspect import signature
from pickle import dumps, loads

import pytest

from service.engine.ground.quick import maker, quick


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain:
    left_m: float
    note: str | None = None


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Quick:
    left_m: float
    note: str | None = None


def test_is_of_its_own_class_and_frozen() -> None:
    made = Quick(left_m=1.5)
    assert type(made) is Quick
    assert (made.left_m, made.note) == (1.5, None)
    with pytest.raises(FrozenInstanceError):
        made.left_m = 2.0  # type: ignore[misc]
    with pytest.raises(AttributeError):
        made.__dict__  # noqa: B018


def test_compares_is_hashed_shown_and_replaced_as_before() -> None:
    made = Quick(left_m=1.5, note="x")
    assert made == Quick(left_m=1.5, note="x") != Quick(left_m=2.5, note="x")
    assert hash(made) == hash(Plain(left_m=1.5, note="x"))
    assert repr(made).replace("Quick", "Plain") == repr(Plain(left_m=1.5, note="x"))
    assert replace(made, note=None) == Quick(left_m=1.5)
    assert loads(dumps(made)) == made


def test_asks_for_the_same_fields() -> None:
    assert str(signature(Quick)).replace(" ", "") == "(*,left_m:float,note:str|None=None)->None"
    with pytest.raises(TypeError, match="left_m"):
        Quick()  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="right_m"):
        Quick(left_m=1.0, right_m=2.0)  # type: ignore[call-arg]


def test_refuses_inherited_fields_and_factories() -> None:
    with pytest.raises(TypeError):

        @quick
        @dataclass(frozen=True, slots=True, kw_only=True)
        class Heir(Plain):
            right_m: float

    with pytest.raises(TypeError):

        @quick
        @dataclass(frozen=True, slots=True, kw_only=True)
        class Filled:
            notes: list[str] = field(default_factory=list)


@pytest.mark.parametrize("make", [Quick, maker(Quick)])
def test_what_makes_many_makes_the_same(make: Callable[..., Quick]) -> None:
    assert make(left_m=1.5) == Quick(left_m=1.5, note=None)
    made = make(left_m=2.5, note="x")
    assert type(made) is Quick
    with pytest.raises(FrozenInstanceError):
        made.note = None  # type: ignore[misc]
    with pytest.raises(TypeError, match="left_m"):
        make()


def test_a_class_whose_fields_come_in_order_is_made_so() -> None:
    @quick
    @dataclass(frozen=True, slots=True)
    class Ordered:
        value: float
        unit: str = "mm"

    assert Ordered(2.0) == maker(Ordered)(2.0) == Ordered(value=2.0, unit="mm")
