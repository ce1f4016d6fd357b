"""Which figures a certificate would rest on that nobody vouches for: neither firm nor maker nor a document.

A takeoff may use what is known from memory, at second hand or as common practice. A
certificate may not: the firm that adopts such a figure declares it, and it is then the firm's.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import Fill, Standing
from service.engine.plan.density import matches
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material, Practice
from service.engine.survey.sourced import Sourced, decides, vouched_for

_Figure = tuple[str, Message, Sourced]


@dataclass(frozen=True, slots=True, kw_only=True)
class Undeclared:
    """A figure, or a group of them, that decides and that nobody vouches for."""

    pointer: Annotated[str, "JSON pointer into the practice profile; /material for the data sheet"]
    figure: Annotated[Message, "what it is"]
    source: Annotated[str, "where it comes from"]
    standing: Annotated[Standing, "how well it is known"]


def undeclared(
    *, practice: Practice, material: Material, cavities: Iterable[Cavity]
) -> tuple[Undeclared, ...]:
    """The figures that would decide a certificate of these cavities and are not vouched for, each once."""
    certified = tuple(cavities)
    dense = tuple(cavity for cavity in certified if cavity.lies is Fill.DENSE)
    figures = (
        ("/material", message("plan.figure_data_sheet", material=material.code), material),
        *_always(practice),
        *(_of_dense(practice, dense) if dense else ()),
        *(_of_open(practice) if len(dense) < len(certified) else ()),
    )
    found = {
        pointer: Undeclared(pointer=pointer, figure=figure, source=known.source, standing=known.standing)
        for pointer, figure, known in figures
        if not vouched_for(standing=known.standing)
    }
    return tuple(found.values())


def _always(practice: Practice) -> Iterator[_Figure]:
    errors = practice.uncertainties
    yield "/decision", message("plan.figure_decision"), practice.decision
    yield "/uncertainties/survey", message("plan.figure_survey_errors"), errors.survey
    yield "/uncertainties/weighing", message("plan.figure_weighing_errors"), errors.weighing


def _of_dense(practice: Practice, dense: tuple[Cavity, ...]) -> Iterator[_Figure]:
    errors = practice.uncertainties
    yield "/sampling", message("plan.figure_sampling"), practice.sampling
    yield "/patching", message("plan.figure_patching"), practice.patching
    yield "/uncertainties/sample", message("plan.figure_sample_errors"), errors.sample
    facings = {cavity.facing for cavity in dense}
    for place, bulge in enumerate(practice.bulges):
        if bulge.facing in facings:
            yield f"/bulges/{place}", message("plan.figure_bulge", facing=bulge.facing), bulge
            yield "/uncertainties/reading", message("plan.figure_reading_errors"), errors.reading
    for place, band in enumerate(practice.bands):
        if decides(standing=band.standing) and any(matches(band=band, cavity=each) for each in dense):
            yield f"/bands/{place}", message("plan.figure_band", element=band.element), band


def _of_open(practice: Practice) -> Iterator[_Figure]:
    yield "/sampling", message("plan.figure_sampling"), practice.sampling
    reading = practice.uncertainties.reading
    yield "/uncertainties/reading", message("plan.figure_reading_errors"), reading
    yield "/marker_area_m2", message("plan.figure_markers"), practice
