"""What a formula says and where it comes from.

Each engine module states its own formulas as constants of this type, beside the
function that works them out. Answers, explanations and the documents' footnotes
all quote these constants, so that a figure has one source wherever it is shown.
"""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Provenance:
    """Where a figure comes from: the rule it follows, the rule's source, and how well it is known."""

    rule: Annotated[Message, "the rule that the figure follows"]
    source: Annotated[str, "where the rule or the figure comes from"]
    standing: Annotated[Standing, "how well it is known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A formula as an answer states it; footnotes are made of rule, source and standing."""

    formula: Annotated[str, "code of the formula"]
    rule: Annotated[Message, "the formula's name"]
    expression: Annotated[str, "the formula in the names of fields"]
    source: Annotated[str, "where the formula comes from"]
    standing: Annotated[Standing, "how well it is known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """Its name stands in the catalogues as `formula.CODE`, its `expression` in names of fields."""

    code: str
    expression: str
    source: str
    standing: Standing

    def stated(self) -> Rule:
        """The formula for an answer in which several figures follow it, or none by itself."""
        return Rule(
            formula=self.code,
            rule=message(f"formula.{self.code}"),
            expression=self.expression,
            source=self.source,
            standing=self.standing,
        )

    @property
    def provenance(self) -> Provenance:
        """What stands beside a figure that follows this formula; its words are `formula.CODE`."""
        return Provenance(rule=message(f"formula.{self.code}"), source=self.source, standing=self.standing)
