"""A count is a way to type less, never a space: identical cavities, one by one."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from service.engine.ground.messages import message
from service.engine.survey.cavity import Cavity
from service.engine.survey.limits import LONGEST_LABEL
from service.errors import Fault


def one_by_one(*, cavities: Iterable[Cavity]) -> tuple[Cavity, ...]:
    """Every cavity by itself: two of `W1` become `W1.1` and `W1.2`, a single one stays as it is."""
    return tuple(
        replace(cavity, label=label, count=1) if cavity.count > 1 else cavity
        for cavity in cavities
        for label in single_labels(label=cavity.label, count=cavity.count)
    )


def single_labels(*, label: str, count: int) -> tuple[str, ...]:
    """What each of `count` cavities is called once they are held one by one."""
    return (label,) if count == 1 else tuple(f"{label}.{number}" for number in range(1, count + 1))


def label_faults(*, cavities: Iterable[Cavity]) -> Iterator[Fault]:
    """A fault for each cavity whose label, or one that its count makes, is another's or too long."""
    taken: set[str] = set()
    for index, cavity in enumerate(cavities):
        labels = {cavity.label, *single_labels(label=cavity.label, count=cavity.count)}
        pointer = f"/cavities/{index}/label"
        if clash := sorted(labels & taken):
            code = "survey.label_taken" if clash[0] == cavity.label else "survey.label_would_clash"
            yield Fault(pointer, message(code, label=clash[0]))
        elif max(map(len, labels)) > LONGEST_LABEL:
            yield Fault(pointer, message("survey.label_too_long", most=LONGEST_LABEL))
        taken |= labels
