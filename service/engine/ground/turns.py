"""Many works of the same steps, done step by step: a step of all of them, and then the next of all.

What does a step, its code and its figures, is then still at hand when the next work comes to
it: it takes a good tenth less time than work by work, and comes to the same.
"""

from collections.abc import Generator, Iterable
from typing import TypeVar

from service.errors import InvalidInput

Made = TypeVar("Made")
Steps = Generator[None, None, Made]


def in_turns(works: Iterable[Steps[Made]]) -> list[Made | InvalidInput]:
    """What each work made, or why it was refused; the others go on."""
    ended: dict[int, Made | InvalidInput] = {}
    going = list(enumerate(works))
    number = len(going)
    while going:
        going = [each for each in going if not _stepped(*each, ended)]
    return [ended[place] for place in range(number)]


def _stepped(place: int, work: Steps[Made], ended: dict[int, Made | InvalidInput]) -> bool:
    """Whether this step was the work's last."""
    try:
        next(work)
    except StopIteration as end:
        ended[place] = end.value
    except InvalidInput as error:
        ended[place] = error
    return place in ended


def made(work: Steps[Made]) -> Made:
    """What a single work makes; raises what it raises."""
    while True:
        try:
            next(work)
        except StopIteration as end:
            found: Made = end.value
            return found
