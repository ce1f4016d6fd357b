"""What can go wrong, without a word of HTTP.

    BaywrightError
    |-- InvalidInput          what was sent cannot be: names each field
    |-- Malformed             what was sent cannot be read at all
    |-- WrongKind             what was sent is of a kind that is not taken here
    |-- NotKnown              no such thing, or another firm's
    |-- Erased                it was erased with a client's personal data
    |-- NotAllowed            known caller, not this caller's to do
    |-- NotIdentified         no key, or none that holds
    |-- Conflict              the thing's state forbids it
    |   `-- ConditionsUnmet   a certificate is refused: every condition is named
    |-- Stale                 somebody else changed it in the meantime
    |-- PreconditionMissing   the caller must say which version he saw
    |-- Repeated              it was done before: carries the first answer
    |-- DocumentFailed        a document could not be made from its facts
    |-- GivenUp               what is done after a change was tried too often: somebody has to see to it
    |-- NotDelivered          a receiver did not take an event, or may not be called
    |-- Unavailable           the database cannot be had just now
    |   `-- ContentUnavailable  the object store, or what it should hold
    `-- SettingsWrong         the service cannot start as it was configured

`api/problems.py` is the only place that turns them into answers.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol


class Sayable(Protocol):
    """What has words in a catalogue: a message of the engine or of a use case."""

    @property
    def code(self) -> str: ...

    @property
    def values(self) -> Mapping[str, Any]: ...


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with one field.

    `pointer` is a JSON pointer (RFC 6901) into the body that was sent, or into
    the part of it that a function was given; `detail` says what is wrong.
    """

    pointer: str
    detail: str | Sayable


class BaywrightError(Exception):
    """The root; `detail` is what may be shown to the caller."""

    def __init__(self, detail: str | Sayable) -> None:
        super().__init__(str(detail))
        self.detail = detail


class InvalidInput(BaywrightError):
    """One or more fields cannot be as they were sent."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__(faults[0].detail if faults else "The input is not valid.")
        self.faults = faults

    def under(self, prefix: str) -> "InvalidInput":
        """The same faults, seen from further out: `prefix` goes before each pointer."""
        return InvalidInput(*(Fault(prefix + fault.pointer, fault.detail) for fault in self.faults))


class Malformed(BaywrightError):
    """The body or a header cannot be read."""


class WrongKind(BaywrightError):
    """What was sent is of another kind than is taken here, or than it claims to be."""


class NotKnown(BaywrightError):
    """There is no such thing, as far as this caller may know."""


class Erased(BaywrightError):
    """What was asked for held a client's personal data and was erased with it."""


class NotAllowed(BaywrightError):
    """The caller is known but has not the role."""


class NotIdentified(BaywrightError):
    """No key was sent, or none that is in force."""


class Conflict(BaywrightError):
    """The state of the thing forbids what was asked."""


class ConditionsUnmet(Conflict):
    """A certificate cannot be issued yet; `conditions` says why, one mapping each."""

    def __init__(self, detail: str | Sayable, conditions: list[dict[str, Any]]) -> None:
        super().__init__(detail)
        self.conditions = conditions


class Stale(BaywrightError):
    """The version named by the caller is not the present one."""


class PreconditionMissing(BaywrightError):
    """A change must name the version that it changes."""


class Repeated(BaywrightError):
    """This was done before, under the same Idempotency-Key; `answer` is the first answer, as it was kept."""

    def __init__(self, answer: Any) -> None:
        super().__init__("This was done before.")
        self.answer = answer


class DocumentFailed(BaywrightError):
    """A document could not be made."""


class GivenUp(BaywrightError):
    """It was tried as often as it is worth; whoever runs the service has to see why."""


class NotDelivered(BaywrightError):
    """A receiver did not take an event, could not be reached, or lies where none may be called."""


class Unavailable(BaywrightError):
    """The database is busy, restarting or out of reach, which passes by itself.

    Nothing was stored, unless it is `undecided`: then the commit was under way, and
    whether it came through is not known. What is `lasting` somebody has to see to: trying
    again at once is of no use.
    """

    def __init__(self, detail: str | Sayable, *, undecided: bool = False, lasting: bool = False) -> None:
        super().__init__(detail)
        self.undecided, self.lasting = undecided, lasting


class ContentUnavailable(Unavailable):
    """A content that lies outside the database cannot be had, or is not what was stored.

    `is_lost` where the store answers, and has no such object, or another.
    """

    def __init__(self, detail: str | Sayable, *, is_lost: bool = False) -> None:
        # It was waited for already, and tried again: a transaction is not run again for it.
        super().__init__(detail, lasting=True)
        self.is_lost = is_lost


class SettingsWrong(BaywrightError):
    """A setting is missing or cannot be."""
