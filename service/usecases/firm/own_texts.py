"""A firm's own texts: a document is made in a language only where the firm has all of its words in it."""

from collections.abc import Iterable, Iterator

from service.engine.ground.messages import message
from service.engine.plan.price_list import PriceList
from service.engine.survey.practice import Material, Practice
from service.engine.survey.sourced import Texts
from service.errors import Fault, InvalidInput


def refuse_missing(*, language: str, practice: Practice, material: Material, price_list: PriceList) -> None:
    """Raise InvalidInput at `/language` where any of these lacks a text in it, naming each."""
    own = (*_of_practice(practice), *_of_material(material), *_of_prices(price_list))
    lacking = tuple(dict.fromkeys(name for name, texts in own if texts and language not in texts))
    if lacking:
        raise InvalidInput(
            Fault("/language", message("firm.texts_missing", language=language, texts=lacking))
        )


def _of_practice(practice: Practice) -> Iterator[tuple[str, Texts]]:
    yield from ((rule.code, rule.text) for rule in practice.hold_points)
    yield from ((rates.method, rates.settings) for rates in practice.rates.methods)


def _of_material(material: Material) -> Iterable[tuple[str, Texts]]:
    return ((material.code, hazard) for hazard in material.hazards)


def _of_prices(price_list: PriceList) -> Iterator[tuple[str, Texts]]:
    yield from ((extra.code, extra.text) for extra in price_list.extras)
    yield from ((rate.case, rate.text) for rate in price_list.taxes)
    yield f"{price_list.code} terms", price_list.terms or {}
