"""What a figure or text of a firm or a maker carries with it: its source, its standing, its languages."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.vocabulary import Standing

# What a firm says in its own words, by the language's code.
Texts = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """Anything that must say where it comes from."""

    source: Annotated[str, "where it comes from"]
    standing: Annotated[Standing, "how well it is known"]


def decides(*, standing: Standing) -> bool:
    """Whether a figure of this standing may set a bound or move a target; else it only advises."""
    return standing not in (Standing.FROM_MEMORY, Standing.SECOND_HAND)


def vouched_for(*, standing: Standing) -> bool:
    """Whether a certificate may rest on it: declared by firm or maker, read in the document, or derived."""
    return standing in (Standing.DECLARED, Standing.PUBLISHED, Standing.DERIVED)
