"""Which hold points apply to a job.

A hold point is a condition that a person answers before or after filling. The
rules are the practice profile's data; here they are only matched with the job.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.quick import maker, quick
from service.engine.ground.vocabulary import Element, Facing, Fill, Market, Stage, Standing
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import HoldPointRule, Practice, Reading
from service.engine.survey.sourced import Texts


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPoint:
    """One condition to answer, for one cavity (its label) or, with None, for the whole job."""

    code: Annotated[str, "what the point is known by"]
    stage: Annotated[Stage, "when it is due"]
    text: Annotated[Texts, "what is to be seen to, by language"]
    cavity: Annotated[str | None, "the part it is asked for; None for the whole job"]
    safety: Annotated[bool, "whether people can be hurt: no concession is granted for it"]
    single: Annotated[bool, "whether it is answered by itself, never with others at one tap"]
    reading: Annotated[Reading | None, "the number that it asks for"]
    crews: Annotated[bool, "whether the crew sees to it by itself, and no client has to"]
    source: Annotated[str, "where the point comes from"]
    standing: Annotated[Standing, "how well that is known"]

    @property
    def general(self) -> bool:
        """Whether it may be answered with others on one screen."""
        return not self.single and self.reading is None


_made = maker(HoldPoint)


def hold_points(
    *, cavities: tuple[Cavity, ...], practice: Practice, built_year: int | None
) -> tuple[HoldPoint, ...]:
    """The hold points of a job, in the order of the profile's rules and of the cavities.

    A rule for houses built before a year also applies where the year is not
    known: that nobody knows is no clearance.
    """
    kinds = [(cavity.label, _kind(cavity)) for cavity in cavities]
    return tuple(
        [
            _hold_point(rule=rule, cavity=label)
            for rule in practice.hold_points
            if _concerns_house(rule=rule, market=practice.market, built_year=built_year)
            for label in _labels(rule, kinds)
        ]
    )


def concerned(*, point: HoldPoint, cavities: tuple[Cavity, ...], practice: Practice) -> frozenset[str]:
    """Labels of the cavities that a hold point is asked for; one of the whole job is about some or all.

    Which, the profile's rules say; it is all of them where the profile has no such rule.
    """
    if point.cavity is not None:
        return frozenset({point.cavity})
    rules = [rule for rule in practice.hold_points if rule.code == point.code]
    about = frozenset(cavity.label for cavity in cavities for rule in rules if _concerns(rule, _kind(cavity)))
    return about or frozenset(cavity.label for cavity in cavities)


def _concerns_house(*, rule: HoldPointRule, market: Market, built_year: int | None) -> bool:
    in_market = not rule.markets or market in rule.markets
    of_age = rule.built_before is None or built_year is None or built_year < rule.built_before
    return in_market and of_age


_Kind = tuple[Element, Fill, Facing]


def _kind(cavity: Cavity) -> _Kind:
    """What a rule goes by: a building has a handful of kinds of cavities, however many there are."""
    return cavity.element, cavity.lies, cavity.facing


def _labels(rule: HoldPointRule, kinds: list[tuple[str, _Kind]]) -> Sequence[str | None]:
    concerned = {kind for kind in {kind for _, kind in kinds} if _concerns(rule, kind)}
    if not concerned:
        return ()
    return [label for label, kind in kinds if kind in concerned] if rule.per_cavity else (None,)


def _concerns(rule: HoldPointRule, kind: _Kind) -> bool:
    element, lies, facing = kind
    return (
        (not rule.elements or element in rule.elements)
        and (not rule.fills or lies in rule.fills)
        and (not rule.facings or facing in rule.facings)
    )


def _hold_point(*, rule: HoldPointRule, cavity: str | None) -> HoldPoint:
    return _made(
        code=rule.code,
        stage=rule.stage,
        text=rule.text,
        cavity=cavity,
        safety=rule.safety,
        single=rule.single,
        reading=rule.reading,
        crews=rule.crews,
        source=rule.source,
        standing=rule.standing,
    )
