"""Works that are done in turns make what they make one by one, and one that is refused stops no other."""

from collections.abc import Iterator

import pytest

from service.engine.ground.messages import message
from service.engine.ground.turns import Steps, in_turns, made
from service.errors import Fault, InvalidInput


def work(name: str, steps: int, done: list[str], *, refused_at: int = 0) -> Steps[str]:
    for step in range(1, steps + 1):
        if step == refused_at:
            raise InvalidInput(Fault(f"/{name}", message("plan.no_facing")))
        done.append(f"{name}{step}")
        yield
    return name.upper()


def test_a_step_of_all_is_done_before_the_next_of_any() -> None:
    done: list[str] = []
    assert in_turns([work("a", 2, done), work("b", 3, done)]) == ["A", "B"]
    assert done == ["a1", "b1", "a2", "b2", "b3"]


def test_a_refusal_stands_in_the_place_of_what_was_to_be_made() -> None:
    done: list[str] = []
    first, second, third = in_turns(
        [work("a", 2, done), work("b", 2, done, refused_at=2), work("c", 1, done)]
    )
    assert (first, third) == ("A", "C")
    assert isinstance(second, InvalidInput)
    assert [fault.pointer for fault in second.faults] == ["/b"]
    assert "b2" not in done


def test_a_single_work_is_made_or_refused() -> None:
    assert made(work("a", 2, [])) == "A"
    with pytest.raises(InvalidInput):
        made(work("a", 2, [], refused_at=1))


def test_no_work_makes_nothing() -> None:
    nothing: Iterator[Steps[str]] = iter(())
    assert in_turns(nothing) == []
