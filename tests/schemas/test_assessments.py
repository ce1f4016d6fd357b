"""An assessment is answered as the engine found it, with what was granted and what is still unmet."""

from schemas.answers import answer
from schemas.assessments import Assessment
from service.engine.ground.messages import Quantity, message
from service.engine.ground.vocabulary import ConditionCode
from service.engine.site import assessment
from service.engine.site.condition import Condition
from service.usecases.base.json import to_json

UNMET = to_json(
    Condition(
        code=ConditionCode.STOCK_UNRECONCILED,
        cavity=None,
        subject="stock",
        detail=message("site.made_up_here", missing=Quantity(12.3456789, "kg")),
        remedy=message("site.stock_missing_remedy"),
    )
)


def test_it_has_all_that_the_engine_finds_and_two_members_more() -> None:
    found = answer(assessment.Assessment)().fields
    assert Assessment().fields.keys() == found.keys() | {"concessions", "unmet"}
    assert not found.keys() & {"concessions", "unmet"}


def test_what_is_unmet_is_rounded_as_conditions_are() -> None:
    shown = Assessment().dump({"conditions": [UNMET], "unmet": [UNMET], "concessions": []})
    assert shown["unmet"] == shown["conditions"]
    assert shown["unmet"][0]["detail"]["values"]["missing"]["value"] == 12.3457
    assert shown["unmet"][0]["remedy"]["code"] == "site.stock_missing_remedy"
    assert UNMET["detail"]["values"]["missing"]["value"] == 12.3456789
