"""Which figures a certificate would rest on that nobody vouches for: neither firm nor maker nor a document.

A takeoff may use what is known from memory, at second hand or as common practice. A
certificate may not: the firm that adopts such a figure declares it, and it is then the firm's.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Annotated, NamedTuple

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import Facing, Fill, Standing
from service.engine.plan.density import matches
from service.engine.plan.hold_points import HoldPoint, concerned
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import DensityBand, Material, Practice
from service.engine.survey.sourced import Sourced, decides, vouched_for

SHEET = "/material"


@dataclass(frozen=True, slots=True, kw_only=True)
class Undeclared:
    """A figure, or a group of them, that decides and that nobody vouches for."""

    pointer: Annotated[str, "JSON pointer into the practice profile; /material for the data sheet"]
    figure: Annotated[Message, "what it is"]
    source: Annotated[str, "where it comes from"]
    standing: Annotated[Standing, "how well it is known"]
    cavities: Annotated[tuple[str, ...], "labels of the cavities that it decides"]


class _Figure(NamedTuple):
    pointer: str
    figure: Message
    known: Sourced
    decides: Callable[[Cavity], bool]


def undeclared(
    *,
    practice: Practice,
    material: Material,
    cavities: Iterable[Cavity],
    hold_points: Iterable[HoldPoint] = (),
    bulge_read: Collection[str] = (),
) -> tuple[Undeclared, ...]:
    """The figures that would decide a certificate of these cavities and are not vouched for, each once.

    `hold_points` are those asked for. `bulge_read` are labels of cavities at whose facing
    a bulge was measured, whatever the profile expects of it.
    """
    certified = tuple(cavities)
    figures = (
        *_of_all(practice, material),
        *_of_dense(practice),
        *_of_readings(practice, bulge_read),
        *_of_hold_points(practice, tuple(hold_points), certified),
    )
    found = (
        _undeclared(each, certified) for each in figures if not vouched_for(standing=each.known.standing)
    )
    return tuple(each for each in found if each.cavities)


def _undeclared(figure: _Figure, cavities: tuple[Cavity, ...]) -> Undeclared:
    return Undeclared(
        pointer=figure.pointer,
        figure=figure.figure,
        source=figure.known.source,
        standing=figure.known.standing,
        cavities=tuple(cavity.label for cavity in cavities if figure.decides(cavity)),
    )


def _any(_cavity: Cavity) -> bool:
    return True


def _dense(cavity: Cavity) -> bool:
    return cavity.lies is Fill.DENSE


def _open(cavity: Cavity) -> bool:
    return cavity.lies is Fill.OPEN


def _of_all(practice: Practice, material: Material) -> Iterator[_Figure]:
    errors, rates = practice.uncertainties, practice.rates.methods
    yield _Figure(SHEET, message("plan.figure_data_sheet", material=material.code), material, _any)
    yield _Figure("/decision", message("plan.figure_decision"), practice.decision, _any)
    yield _Figure("/sampling", message("plan.figure_sampling"), practice.sampling, _any)
    yield _Figure("/uncertainties/survey", message("plan.figure_survey_errors"), errors.survey, _any)
    yield _Figure("/uncertainties/weighing", message("plan.figure_weighing_errors"), errors.weighing, _any)
    # Entries that come faster than anybody blows were typed in one sitting: their order proves nothing.
    fastest = max(range(len(rates)), key=lambda place: rates[place].kg_h)
    figure = message("plan.figure_fastest_rate", method=rates[fastest].method)
    yield _Figure(f"/rates/methods/{fastest}", figure, rates[fastest], _any)


def _of_dense(practice: Practice) -> Iterator[_Figure]:
    errors = practice.uncertainties
    yield _Figure("/patching", message("plan.figure_patching"), practice.patching, _dense)
    yield _Figure("/uncertainties/sample", message("plan.figure_sample_errors"), errors.sample, _dense)
    for place, bulge in enumerate(practice.bulges):
        figure = message("plan.figure_bulge", facing=bulge.facing)
        yield _Figure(f"/bulges/{place}", figure, bulge, partial(_faced, {bulge.facing}))
    for place, band in enumerate(practice.bands):
        if decides(standing=band.standing):  # else it advises, and decides nothing
            figure = message("plan.figure_band", element=band.element)
            yield _Figure(f"/bands/{place}", figure, band, partial(_in_band, band))


def _faced(facings: Collection[Facing], cavity: Cavity) -> bool:
    return _dense(cavity) and cavity.facing in facings


def _in_band(band: DensityBand, cavity: Cavity) -> bool:
    return _dense(cavity) and matches(band=band, cavity=cavity)


def _of_readings(practice: Practice, bulge_read: Collection[str]) -> Iterator[_Figure]:
    """Bulge, ruler and evenness, and how many markers an open blow has."""
    giving = {bulge.facing for bulge in practice.bulges}

    def read(cavity: Cavity) -> bool:
        return _open(cavity) or _faced(giving, cavity) or cavity.label in bulge_read

    errors = practice.uncertainties.reading
    yield _Figure("/uncertainties/reading", message("plan.figure_reading_errors"), errors, read)
    yield _Figure("/marker_area_m2", message("plan.figure_markers"), practice, _open)


def _of_hold_points(
    practice: Practice, hold_points: tuple[HoldPoint, ...], cavities: tuple[Cavity, ...]
) -> Iterator[_Figure]:
    """The limits of readings: beyond them a hold point is not clear."""
    for place, rule in enumerate(practice.hold_points):
        asked = [point for point in hold_points if point.code == rule.code]
        if rule.reading is not None and asked:
            about = [concerned(point=point, cavities=cavities, practice=practice) for point in asked]
            figure = message("plan.figure_limit", code=rule.code)
            labels = frozenset().union(*about)
            yield _Figure(f"/hold_points/{place}", figure, rule, partial(_among, labels))


def _among(labels: Collection[str], cavity: Cavity) -> bool:
    return cavity.label in labels
