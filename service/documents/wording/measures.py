"""Measures in the engine's sentences, as the reader of each market expects them.

The engine speaks plain text in SI: `50.0 kg/m3`, `65 x 200 mm`. In a document the units are
written properly, and in a `us` one the customary figure goes before the SI figure.
"""

import re

from markupsafe import Markup

from service.documents.wording.formats import DENSITY, DEPTH, LENGTH, LOADING, MASS, Kind, Units

KINDS = {"kg/m3": DENSITY, "kg/m2": LOADING, "mm": DEPTH, "m": LENGTH, "kg": MASS}
NUMBER = r"\d+(?:[.,]\d+)?"
TOGETHER = r"(?:\+-|x|to|bis)"
MEASURE = re.compile(rf"(?<![\w.,-])({NUMBER}(?: {TOGETHER} {NUMBER})*) ({'|'.join(KINDS)})(?![\w/²³])")


def as_read(text: Markup, units: Units) -> Markup:
    """The sentence with its measures in the market's units; two that belong together stay so."""
    return Markup(MEASURE.sub(lambda found: _written(found[1], KINDS[found[2]], units), text))  # noqa: S704


def _written(numbers: str, kind: Kind, units: Units) -> str:
    numbers = numbers.replace("+-", "±").replace(" x ", " × ")
    si = f"{numbers} {kind.unit}"
    if not units.us:
        return si
    customary = re.sub(NUMBER, lambda number: _converted(number[0], kind, units), numbers)
    return f"{customary} {kind.us_unit} ({si})"


def _converted(number: str, kind: Kind, units: Units) -> str:
    value = float(number.replace(units.language.decimal_mark, "."))
    return units.number(value * kind.us_per_unit, kind.us_places)
