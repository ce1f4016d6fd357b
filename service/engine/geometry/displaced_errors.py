"""What the errors of what is displaced do to the volume of a space: its size, and where it lies."""

from collections.abc import Iterator
from math import sqrt

from service.engine.geometry.compartments import taken_from
from service.engine.geometry.reckoned import Reckoned
from service.engine.ground.uncertainty import Share, rectangular
from service.engine.survey.cavity import Displaced
from service.engine.survey.uncertainties import SurveyErrors


def displaced_shares(*, space: Reckoned, errors: SurveyErrors) -> Iterator[Share]:
    """The shares of all that is displaced in the cavity."""
    places = space.places
    filled_m3, bays = space.laid_out.balanced.filled_m3, space.laid_out.balanced.bays
    for index, each in enumerate(space.upright.displaced):
        half_m3 = each.volume_m3 * errors.displaced_rel_half if each.u_m3 is None else each.u_m3
        taken = taken_from(bay=each.bay, filled=filled_m3, bays=bays)
        part = sum([share for place, share in taken.items() if place in places])
        yield Share("displaced", f"displaced {index}", -rectangular(half=half_m3) * part)
        if each.bay is None and len(filled_m3) > 1:
            yield from _where(space, index, each, part)


def _where(space: Reckoned, index: int, displaced: Displaced, part: float) -> Iterator[Share]:
    """Which compartment it lies in is not known: any may hold all of it, together they hold it once.

    One input for each compartment, less their mean by volume; the factor makes the half-width
    of one among many like ones the whole volume.
    """
    many, places = len(space.laid_out.balanced.filled_m3), space.places
    u_m3 = rectangular(half=displaced.volume_m3) / sqrt(1 - 1 / many)
    for place in range(many):
        held = (1.0 if place in places else 0.0) - part
        if abs(held) > 1e-12:
            yield Share("displaced", f"displaced {index} in {place + 1}", -u_m3 * held)
