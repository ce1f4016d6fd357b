"""What a supplement is worked out from: the job's cavities, each as often as it is there by then."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

import pytest

from service.errors import InvalidInput
from service.usecases.work.agreed import Agreements, Supplement
from service.usecases.work.parts import Part, Whole
from service.usecases.work.proposals import Known, _recounted

POSTED = [{"label": "W1", "count": 2}, {"label": "D"}]


def part(label: str, origin: str, **changes: Any) -> Part:
    said: Any = {"label": label, "origin": origin, "element": "wall", "planned": {}, "supplement": None}
    return {**said, "surveyed": {"label": label}, "agreed": True, **changes}


def brought(by: int, label: str, origin: str = "") -> Any:
    surveyed = {"label": label, "count": 1}
    row = {"supplement_id": UUID(int=by), "label": label, "origin": origin or label}
    return {**row, "surveyed": surveyed}


def known(
    *supplements: Supplement,
    more: Sequence[Part] = (),
    added: Sequence[Any] = (brought(1, "N"), brought(1, "W1.3", "W1")),
    named: tuple[str, ...] = (),
) -> Known:
    quote: Any = {}
    rows: Any = [{"surveyed": each, "label": each["label"]} for each in POSTED]
    agreements = Agreements(supplements=supplements, named=frozenset(named))
    parts = (part("W1.1", "W1"), part("W1.2", "W1"), part("D", "D"), *more)
    ever = Whole(parts=parts, agreements=agreements, ever=True)
    return Known(quote=quote, quoted=rows, added=added, ever=ever, named=frozenset(named))


def supplement(number: int, *counts: tuple[str, int], dropped: tuple[str, ...] = ()) -> Supplement:
    changes = [{"cavity": cavity, "count": 0, "change": change} for cavity, change in counts]
    row: Any = {"id": UUID(int=number), "number": f"S{number}", "counts": changes, "dropped": list(dropped)}
    steps: Any = ({"kind": "proposal"},)
    return Supplement(row=row, steps=steps)


def counted(found: Sequence[Any]) -> dict[str, int]:
    return {each["label"]: each["count"] for each in found}


def test_the_building_by_supplements() -> None:
    one, two = supplement(1, ("W1", 1)), supplement(2, ("D", -1), dropped=("D",))
    there = known(one, two)
    assert counted(there.building(())) == {"W1": 2, "D": 1}
    assert counted(there.building((one,))) == {"W1": 3, "D": 1, "N": 1}
    assert counted(there.building((two,))) == {"W1": 2}
    assert counted(there.building((), [("X", {"label": "X"})], ["W1.2"])) == {"W1": 1, "D": 1, "X": 1}


def test_a_copy_is_there_without_the_part_that_it_was_copied_from() -> None:
    one, two = supplement(1), supplement(2, ("N", 1))
    three = supplement(3, ("N", -1), dropped=("N",))
    there = known(one, two, three, added=(brought(1, "N"), brought(2, "N.2", "N")))
    assert counted(there.building((two,))) == {"W1": 2, "D": 1, "N": 1}
    assert counted(there.building((two, three))) == {"W1": 2, "D": 1, "N": 1}
    assert counted(there.building((one, two))) == {"W1": 2, "D": 1, "N": 2}
    assert counted(there.building((one, two, three))) == {"W1": 2, "D": 1, "N": 1}


def test_more_of_a_cavity_are_copies_under_labels_of_their_own() -> None:
    (found,) = _recounted(known(more=[part("W1.3", "W1", supplement="S9")]), [{"cavity": "W1", "count": 4}])
    assert (found.change, [each["label"] for each in found.copies]) == (2, ["W1.4", "W1.5"])


def test_fewer_of_it_are_the_last_that_nothing_is_recorded_of() -> None:
    (found,) = _recounted(known(named=("W1.2",)), [{"cavity": "W1", "count": 1}])
    assert found.dropped == ["W1.1"]
    with pytest.raises(InvalidInput):
        _recounted(known(named=("W1.2",)), [{"cavity": "W1", "count": 0}])


def test_what_is_to_be_left_out_already_is_not_counted_again() -> None:
    open_one = supplement(1, ("W1", -1), dropped=("W1.2",))
    with pytest.raises(InvalidInput):
        _recounted(known(open_one), [{"cavity": "W1", "count": 1}])
