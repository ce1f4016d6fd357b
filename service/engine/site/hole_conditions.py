"""Conditions of the holes in the facing: that they are accounted for, and that each is closed well."""

from collections.abc import Iterator

from service.engine.ground.messages import Message, Quantity, Value, message
from service.engine.ground.vocabulary import ConditionCode, Purpose
from service.engine.site.condition import Condition, runs
from service.engine.site.hole_findings import HoleFinding, HolesFinding, PatchFinding
from service.engine.site.holes_told import AddedHole
from service.engine.survey.practice import Patching

Size = tuple[float | None, float | None]


def hole_conditions(*, finding: HolesFinding, largest: Size, patching: Patching) -> Iterator[Condition]:
    """What is unmet of one part's holes; `largest` is the size in mm of the largest planned one."""
    yield from _unaccounted(finding)
    yield from _open(finding)
    apart = sum(each.purpose is Purpose.ENTRY for each in finding.singles)
    if finding.patch and finding.made > apart:
        size = _with_added(largest, finding.added)
        yield from _of_patch(finding.cavity, finding.cavity, size, finding.patch, patching)
    for each in finding.closed_apart:
        yield from _of_patch(finding.cavity, str(each.number), largest, each.patch, patching)
    for single in finding.singles:
        yield from _of_single(single, patching)
    for name in finding.strays:
        yield _patch_missing(finding.cavity, name, "stray", patch=name)


def _unaccounted(finding: HolesFinding) -> Iterator[Condition]:
    part = finding.cavity
    if finding.unaccounted:
        detail = message(
            "site.holes_unaccounted",
            part=part,
            planned=finding.planned,
            made=finding.made,
            numbers=runs(finding.unaccounted),
        )
        remedy = message("site.holes_unaccounted_remedy", part=part)
        yield _holes_unaccounted(finding, detail, remedy)
    if finding.unreached:
        detail = message("site.holes_none", part=part, bays=runs(finding.unreached))
        yield _holes_unaccounted(finding, detail, message("site.holes_none_remedy", part=part))
    if finding.contradicted:
        detail = message("site.holes_contradicted", part=part, numbers=runs(finding.contradicted))
        yield _holes_unaccounted(finding, detail, message("site.holes_contradicted_remedy"))


def _holes_unaccounted(finding: HolesFinding, detail: Message, remedy: Message) -> Condition:
    return Condition(
        code=ConditionCode.HOLES_UNACCOUNTED,
        cavity=finding.cavity,
        subject=finding.cavity,
        detail=detail,
        remedy=remedy,
        concedable=False,
    )


def _open(finding: HolesFinding) -> Iterator[Condition]:
    count = len(finding.open) + finding.open_added
    if count:
        yield _patch_missing(
            finding.cavity,
            finding.cavity,
            "open",
            part=finding.cavity,
            count=count,
            numbers=(*runs(finding.open), *("+",) * finding.open_added),
        )


def _of_single(hole: HoleFinding, patching: Patching) -> Iterator[Condition]:
    if hole.patch is None:
        how = "sample" if hole.name == hole.entry else "single"
        yield _patch_missing(hole.cavity, hole.name, how, purpose=hole.purpose, name=_called(hole))
        return
    size = (hole.width_mm, hole.height_mm)
    yield from _of_patch(hole.cavity, hole.name, size, hole.patch, patching, _called(hole))


def _called(hole: HoleFinding) -> Value:
    """What people call a hole; a sample's is known by its bay, for nobody on a site knows an entry's id."""
    return message("site.sample_of_bay", bay=hole.bay or 1) if hole.name == hole.entry else hole.name


def _of_patch(
    cavity: str,
    subject: str,
    hole: Size,
    patch: PatchFinding,
    patching: Patching,
    called: Value | None = None,
) -> Iterator[Condition]:
    name = called or subject
    if not patch.counts:
        how = "not_wiped" if not patch.wiped else "not_pressed_on"
        yield _patch_missing(cavity, subject, how, name=name)
    if _too_small(hole, (patch.width_mm, patch.height_mm), patching):
        past = Quantity(patching.past_hole_mm, "mm")
        yield Condition(
            code=ConditionCode.PATCH_TOO_SMALL,
            cavity=cavity,
            subject=subject,
            detail=message(
                "site.patch_too_small",
                name=name,
                patch=_sides((patch.width_mm, patch.height_mm)),
                hole=_sides(hole),
                past=past,
            ),
            remedy=message("site.patch_too_small_remedy", past=past),
        )


def _with_added(largest: Size, added: tuple[AddedHole, ...]) -> Size:
    """The largest of the planned holes and of those that came besides, where these say their size."""
    breadths = [each for each in (largest[0], *(hole.width_mm for hole in added)) if each is not None]
    heights = [each for each in (largest[1], *(hole.height_mm for hole in added)) if each is not None]
    return max(breadths, default=None), max(heights, default=None)


def _too_small(hole: Size, patch: Size, patching: Patching) -> bool:
    """A side that nobody gave is the plan's, which reaches far enough."""
    return any(
        given is not None and cut is not None and given < cut + 2 * patching.past_hole_mm
        for given, cut in zip(patch, hole, strict=True)
    )


def _sides(size: Size) -> tuple[Quantity, ...]:
    return tuple(Quantity(side, "mm") for side in size if side is not None)


def _patch_missing(cavity: str, subject: str, how: str, **values: Value) -> Condition:
    return Condition(
        code=ConditionCode.PATCH_MISSING,
        cavity=cavity,
        subject=subject,
        detail=message(f"site.patch_missing_{how}", **values),
        remedy=message(f"site.patch_missing_{how}_remedy", **values),
        concedable=False,
    )
