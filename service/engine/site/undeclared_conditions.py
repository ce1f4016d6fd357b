"""Conditions of what a certificate would rest on and nobody vouches for."""

from collections.abc import Iterator

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import ConditionCode
from service.engine.plan.undeclared import SHEET, Undeclared
from service.engine.site.condition import Condition


def undeclared_conditions(*, lacking: tuple[Undeclared, ...], cavities: int) -> Iterator[Condition]:
    """A condition for each figure that nobody vouches for; the job has so many `cavities`."""
    return (_condition(each, cavities) for each in lacking)


def _condition(figure: Undeclared, cavities: int) -> Condition:
    remedy = "sheet_undeclared_remedy" if figure.pointer == SHEET else "uncertainty_undeclared_remedy"
    return Condition(
        code=ConditionCode.UNCERTAINTY_UNDECLARED,
        cavity=None,
        subject=figure.pointer,
        detail=message(
            "site.uncertainty_undeclared",
            figure=figure.figure,
            source=figure.source,
            standing=figure.standing,
        ),
        remedy=message(f"site.{remedy}"),
        concedable=False,
        parts=figure.cavities if len(figure.cavities) < cavities else (),
    )
