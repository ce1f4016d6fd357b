"""Parts by their labels: a few as they are, many as runs of those that count up."""

import re
from collections.abc import Iterator, Sequence

FEW = 12
SHORTEST_RUN = 3
NUMBER = re.compile(r"[0-9]+")
Place = tuple[str, str]
"""What stands before and after the number that counts."""


def named(labels: Sequence[str]) -> str:
    """The labels; of more than a few those that count up as first and last: 01-N – 35-N, 01-S – 20-S, A1.

    They count by that of their numbers by which they are told in the fewest words.
    """
    if len(labels) <= FEW:
        return ", ".join(labels)
    numbers = max(len(NUMBER.findall(label)) for label in labels)
    told = [list(_runs(labels, which)) for which in range(max(numbers, 1))]
    shortest: list[str] = min(told, key=len)
    return ", ".join(shortest)


def _runs(labels: Sequence[str], which: int) -> Iterator[str]:
    """The labels by their `which`th number; those that are alike otherwise where the first of them stands."""
    alike: dict[Place | str, list[tuple[int, str]]] = {}
    for label in labels:
        place, number = _parted(label, which)
        alike.setdefault(place, []).append((number, label))
    for same in alike.values():
        yield from _told(sorted(same))


def _parted(label: str, which: int) -> tuple[Place | str, int]:
    found = list(NUMBER.finditer(label))
    if which >= len(found):
        return label, 0
    number = found[which]
    return (label[: number.start()], label[number.end() :]), int(number[0])


def _told(numbered: Sequence[tuple[int, str]]) -> Iterator[str]:
    run: list[tuple[int, str]] = []
    for each in numbered:
        if run and each[0] != run[-1][0] + 1:
            yield from _of_run(run)
            run = []
        run.append(each)
    yield from _of_run(run)


def _of_run(run: Sequence[tuple[int, str]]) -> Iterator[str]:
    if len(run) >= SHORTEST_RUN:
        yield f"{run[0][1]} – {run[-1][1]}"
    else:
        yield from (label for _, label in run)
