"""Concessions: what the office granted for a condition that is not met, and what is left unmet."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.vocabulary import ConditionCode
from service.engine.site.condition import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class Concession:
    """A concession for conditions of one code in one cavity, of exactly the subjects that it names."""

    condition: Annotated[ConditionCode, "what is not met"]
    cavity: Annotated[str | None, "the cavity; none where the condition is of the whole job"]
    subjects: Annotated[tuple[str, ...], "what it is granted for in it"]
    reason: Annotated[str, "why it was granted"]
    granted_by: Annotated[str, "who granted it"]
    granted_at: Annotated[str, "when (RFC 3339, UTC)"]

    def covers(self, condition: Condition) -> bool:
        """Whether it was granted for this very condition, and the condition can be conceded at all."""
        named = (condition.code, condition.cavity) == (self.condition, self.cavity)
        return named and condition.subject in self.subjects and condition.concedable


def unmet(*, conditions: tuple[Condition, ...], concessions: tuple[Concession, ...]) -> tuple[Condition, ...]:
    """The conditions that no concession covers."""
    return tuple(each for each in conditions if not any(granted.covers(each) for granted in concessions))
