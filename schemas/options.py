"""Options of an offer: what is different in each, of which the client accepts one."""

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, fields, pre_load, validates_schema

from schemas.cavities import Building, CavityBody
from schemas.fields import Several, Text, label
from schemas.posted import Posted
from schemas.wrong import Said, wrong
from service.engine.ground.messages import message
from service.engine.survey import limits
from service.engine.survey.build_up import MEMBERS

MOST_OPTIONS = 5
"""Beside what the offer is by itself."""
NUMBERS = list("123456")
WHOLE = ("element", "width_m", "span_m", "facing")
"""What a cavity that the offer does not have by itself must say."""


class OptionCavity(CavityBody):
    """A cavity as it is in an option: of one that the quote has, only what is different."""

    @validates_schema
    def is_whole(self, data: Mapping[str, Any], **_options: Any) -> None:
        """What the quote does not have by itself, an option says whole."""
        missing = {name: [Said(message("schemas.missing"))] for name in WHOLE if name not in data}
        if missing:
            raise ValidationError(missing)


class OptionBody(Posted):
    """One option: another material, parts that are otherwise, more or less of them."""

    text = Text(
        longest=200,
        required=True,
        metadata={"description": "What it is, for the client, in the language of the offer."},
    )
    material = label(metadata={"description": "Code of another material."})
    cavities = Several(
        fields.Nested(OptionCavity(partial=WHOLE)),
        least=1,
        most=limits.MOST_CAVITIES,
        metadata={
            "description": "Cavities by label: of one that the quote has, what is different; a new one whole."
        },
    )
    without = Several(
        label(), least=1, most=limits.MOST_CAVITIES, metadata={"description": "Labels of what is left out."}
    )

    @validates_schema
    def is_another(self, data: Mapping[str, Any], **_options: Any) -> None:
        """An option is different in something."""
        if not data.keys() & {"material", "cavities", "without"}:
            raise wrong(message("schemas.no_option"))


class Offered(Building):
    """A building, and what else may be offered in its place."""

    options = Several(
        fields.Nested(OptionBody),
        least=1,
        most=MOST_OPTIONS,
        metadata={"description": "Other ways to do it, of which the client accepts one: 2, 3 and so on."},
    )

    @pre_load
    def options_say_what_is_different(self, data: Any, **_options: Any) -> Any:
        """What an option does not say of a cavity is as the building has it."""
        return completed(data)


def completed(quote: Any) -> Any:
    """A quote's body as it came, whose options say what they do not change as the quote says it itself."""
    if not isinstance(quote, dict) or not isinstance(quote.get("cavities"), list):
        return quote
    known = {_label(cavity): cavity for cavity in quote["cavities"] if _label(cavity)}
    options = quote.get("options")
    if not isinstance(options, list):
        return quote
    return {**quote, "options": [_completed(option, known) for option in options]}


def _completed(option: Any, known: Mapping[str | None, Any]) -> Any:
    if not isinstance(option, dict) or not isinstance(option.get("cavities"), list):
        return option
    return {**option, "cavities": [_whole(cavity, known) for cavity in option["cavities"]]}


def _whole(cavity: Any, known: Mapping[str | None, Any]) -> Any:
    base = known.get(_label(cavity))
    if base is None:
        return cavity
    # Another build-up takes the place of the layers; layers beside a build-up are refused as ever.
    gone = MEMBERS if "build_up" in cavity else ()
    return {**{name: value for name, value in base.items() if name not in gone}, **cavity}


def _label(cavity: Any) -> str | None:
    named = cavity.get("label") if isinstance(cavity, dict) else None
    return named if isinstance(named, str) else None
