"""What a figure of a firm or a maker carries with it: where it comes from and how well it is known."""

from dataclasses import dataclass

from service.engine.ground.vocabulary import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """Anything that must say where it comes from."""

    source: str
    standing: Standing
