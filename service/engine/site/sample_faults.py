"""Samples that cannot be: larger than what they are said to be taken of."""

from collections.abc import Iterator

from service.engine.geometry.layout import is_turned
from service.engine.ground.messages import Quantity, message
from service.engine.plan.quantities import expected_bulge_mm
from service.engine.site.entries import Block, Core, Sample
from service.engine.site.planned import Planned
from service.engine.survey.practice import Practice
from service.errors import Fault


def sample_faults(
    *, sample: Sample, planned: Planned, found_depth_mm: float | None, practice: Practice
) -> Iterator[Fault]:
    """What is impossible of a sample of this cavity; `found_depth_mm` is None where nobody measured it."""
    label = planned.cavity.label
    if planned.density is None:
        yield Fault("/cavity", message("site.sample_of_open_blow", part=label))
        return
    if sample.bay is None and planned.geometry.bays > 1:
        yield Fault("/bay", message("site.sample_without_bay", part=label))
    depth_mm = _room_mm(planned, found_depth_mm, practice)
    if isinstance(sample, Core):
        yield from _of_core(sample, found_depth_mm, depth_mm, practice)
        yield from _of_diameter(sample, planned)
    if isinstance(sample, Block):
        yield from _of_block(sample, planned, depth_mm)


def _room_mm(planned: Planned, found_depth_mm: float | None, practice: Practice) -> float:
    """How deep a sample can be: the depth with its tolerance, and what such a facing gives at mid-bay."""
    errors = practice.uncertainties.survey
    tolerance_mm = (errors.drawn if found_depth_mm is None else errors.counted).depth_mm
    gives_mm = expected_bulge_mm(facing=planned.cavity.facing, practice=practice)
    return (found_depth_mm or planned.cavity.depth_mm) + tolerance_mm + gives_mm


def _of_core(
    core: Core, found_depth_mm: float | None, depth_mm: float, practice: Practice
) -> Iterator[Fault]:
    if core.diameter_mm is None and practice.sampling.core_diameter_mm is None:
        yield Fault("/diameter_mm", message("site.core_without_tool"))
    if core.length_mm is None and found_depth_mm is None:
        yield Fault("/length_mm", message("site.core_without_length"))
    elif core.length_mm is not None and core.length_mm > depth_mm:
        yield _too_large("/length_mm", core.length_mm, depth_mm)


def _of_diameter(core: Core, planned: Planned) -> Iterator[Fault]:
    across_mm = min(_bay_mm(core.bay, planned))
    if core.diameter_mm is not None and core.diameter_mm > across_mm:
        yield _too_large("/diameter_mm", core.diameter_mm, across_mm)


def _of_block(block: Block, planned: Planned, depth_mm: float) -> Iterator[Fault]:
    """`length_mm` lies across the members or along them, `width_mm` the other way."""
    if block.depth_mm > depth_mm:
        yield _too_large("/depth_mm", block.depth_mm, depth_mm)
    across_mm, along_mm = sorted(_bay_mm(block.bay, planned))
    short_mm, long_mm = sorted((block.length_mm, block.width_mm))
    if short_mm > across_mm or long_mm > along_mm:
        longer = "/length_mm" if block.length_mm >= block.width_mm else "/width_mm"
        yield (
            _too_large(longer, long_mm, along_mm)
            if long_mm > along_mm
            else _too_large("/width_mm" if longer == "/length_mm" else "/length_mm", short_mm, across_mm)
        )


def _bay_mm(bay: int | None, planned: Planned) -> tuple[float, float]:
    """Clear breadth of the bay, the widest where none is named or known, and how long the bays are."""
    widths_m, cavity = planned.geometry.bay_widths_m, planned.cavity
    named = bay is not None and bay <= len(widths_m)
    width_m = widths_m[(bay or 1) - 1] if named else max(widths_m)
    return width_m * 1000, (cavity.width_m if is_turned(cavity=cavity) else cavity.span_m) * 1000


def _too_large(pointer: str, size_mm: float, room_mm: float) -> Fault:
    values = {"size": Quantity(size_mm, "mm"), "room": Quantity(room_mm, "mm")}
    return Fault(pointer, message("site.sample_too_large", **values))
