"""One unmet condition, and the sentences that say it."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.messages import Message
from service.engine.ground.vocabulary import ConditionCode

LONG = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """What stands in the way of a certificate."""

    code: Annotated[ConditionCode, "what is unmet"]
    cavity: Annotated[str | None, "the part; None for the whole job"]
    subject: Annotated[str, "what of it: a part, a space, a hole, a hold point, a day"]
    detail: Annotated[Message, "what is wrong"]
    remedy: Annotated[Message, "what would clear it"]
    concedable: Annotated[bool, "whether the office can grant a concession for it"] = True
    parts: Annotated[tuple[str, ...], "the parts that it is of, where it is of several and not of all"] = ()


def runs(numbers: tuple[int, ...]) -> tuple[str, ...]:
    """Numbers that follow one another as `first–last`, where there are at least three of them."""
    found: list[list[int]] = []
    for number in sorted(numbers):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return tuple(text for run in found for text in _run(run))


def _run(run: list[int]) -> list[str]:
    return [f"{run[0]}–{run[-1]}"] if len(run) >= LONG else [str(number) for number in run]
