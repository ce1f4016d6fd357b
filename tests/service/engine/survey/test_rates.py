"""What work takes: every figure of it is the firm's own."""

from dataclasses import MISSING, fields

from service.engine.ground.vocabulary import Method
from service.engine.survey.rates import MethodRates, Rates
from service.engine.survey.sourced import Sourced
from tests.builders import practice


def test_what_is_charged_for_has_no_default() -> None:
    silent = {field.name for field in fields(Rates) if field.default is not MISSING}
    assert silent == {"hose_mm"}
    assert {"kg_h", "hole_mm"}.isdisjoint(
        field.name for field in fields(MethodRates) if field.default is not MISSING
    )


def test_rates_say_where_they_come_from_for_every_way_of_filling() -> None:
    assert issubclass(Rates, Sourced)
    assert issubclass(MethodRates, Sourced)
    assert {rates.method for rates in practice().rates.methods} == set(Method)
