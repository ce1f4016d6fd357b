"""What of a survey is probably a slip, or is to be looked at on site: it is taken as it is, and said.

The limits are those of ordinary buildings (common practice, from memory). They advise and
decide nothing.
"""

from collections.abc import Iterator

from service.engine.geometry.areas import across_and_along_m
from service.engine.geometry.bays import last_members_overlap
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.vocabulary import Element
from service.engine.survey.cavity import Cavity, Framing

DEPTH_MM = (50.0, 700.0)
WIDEST_M = 40.0
LONGEST_M = 15.0
MEMBER_MM = (15.0, 200.0)
SPACING_MM = (200.0, 1500.0)


def survey_cautions(*, cavity: Cavity) -> tuple[Message, ...]:
    """The cautions of a cavity that `geometry` accepts."""
    return tuple(_sizes(cavity)) + tuple(_framings(cavity))


def _sizes(cavity: Cavity) -> Iterator[Message]:
    if not DEPTH_MM[0] <= cavity.depth_mm <= DEPTH_MM[1]:
        yield message("geometry.depth_implausible", depth=Quantity(cavity.depth_mm, "mm"))
    if cavity.width_m > WIDEST_M:
        yield message("geometry.width_implausible", width=Quantity(cavity.width_m, "m"))
    if cavity.span_m > LONGEST_M:
        yield message("geometry.span_implausible", span=Quantity(cavity.span_m, "m"))
    if cavity.profile_m and max(height for _, height in cavity.profile_m) < 0.9 * cavity.span_m:
        yield message("geometry.height_beyond_profile", span=Quantity(cavity.span_m, "m"))


def _framings(cavity: Cavity) -> Iterator[Message]:
    framed = [(place, layer.framing) for place, layer in enumerate(cavity.layers, start=1) if layer.framing]
    if not framed and cavity.element is not Element.ATTIC:
        yield message("geometry.no_framing")
    for place, framing in framed:
        if framing.member_mm is not None:
            yield from _members(cavity, place, framing, framing.member_mm)


def _members(cavity: Cavity, place: int, framing: Framing, member_mm: float) -> Iterator[Message]:
    across_m, _ = across_and_along_m(cavity=cavity, framing=framing)
    if last_members_overlap(framing=framing, across_m=across_m):
        yield message("geometry.last_members_overlap", layer=place)
    if not MEMBER_MM[0] <= member_mm <= MEMBER_MM[1]:
        yield message("geometry.member_implausible", layer=place, member=Quantity(member_mm, "mm"))
    spacing_mm = framing.spacing_mm
    if spacing_mm is not None and not SPACING_MM[0] <= spacing_mm <= SPACING_MM[1]:
        yield message("geometry.spacing_implausible", layer=place, spacing=Quantity(spacing_mm, "mm"))
