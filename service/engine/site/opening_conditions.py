"""Conditions of the holes in the facing: that they are on record, and that each is closed well."""

from collections.abc import Iterator

from service.engine.ground.vocabulary import ConditionCode, Purpose
from service.engine.site.conditions import Condition
from service.engine.site.findings import CavityFinding, PenetrationFinding
from service.engine.site.ledger import Patch
from service.engine.site.planned import Planned
from service.engine.survey.practice import Patching


def penetration_conditions(
    *, planned: Planned, finding: CavityFinding, penetrations: tuple[PenetrationFinding, ...]
) -> Iterator[Condition]:
    """A cavity that was filled through its facing, by the plan, without an entry hole on record.

    A hole for a sample is cut when the fill is in: nothing was blown through it.
    """
    label = finding.label
    through = (each for each in penetrations if each.purpose is not Purpose.SAMPLE)
    if not planned.holes or finding.mass_kg is None or any(each.cavity == label for each in through):
        return
    yield Condition(
        code=ConditionCode.PENETRATION_MISSING,
        cavity=label,
        subject=label,
        detail=f"{label} was to be filled through {planned.holes} holes in its facing and holds fill, but no "
        "entry hole is on record.",
        remedy="Record every hole that was made, and its patch. If the fill went in at an open end, let the "
        "office say so in a deviation.",
    )


def patch_conditions(
    *,
    penetrations: tuple[PenetrationFinding, ...],
    strays: tuple[Patch, ...],
    patching: Patching,
) -> Iterator[Condition]:
    """Penetrations that are open or badly closed, and patches (`strays`) over none that is known."""
    for each in penetrations:
        yield from _of_penetration(each, each.patch, patching)
    for patch in strays:
        yield _patch_missing(
            None,
            patch.tag,
            f"A patch {patch.tag} is recorded, but no penetration has this tag.",
            "Record the penetration, or correct the tag of the patch.",
        )


def _of_penetration(
    penetration: PenetrationFinding, patch: Patch | None, patching: Patching
) -> Iterator[Condition]:
    tag, past_mm = penetration.tag, patching.past_hole_mm
    width_mm, height_mm = penetration.width_mm + 2 * past_mm, penetration.height_mm + 2 * past_mm
    needed = f"{width_mm:g} x {height_mm:g} mm"
    if patch is None:
        yield _patch_missing(
            penetration.cavity,
            tag,
            f"The penetration {tag} has no patch.",
            f"Close it with a patch of at least {needed} and record the patch.",
        )
        return
    undone = [word for word, done in (("wiped", patch.wiped), ("rubbed down", patch.rubbed_down)) if not done]
    if undone:
        yield _patch_missing(
            penetration.cavity,
            tag,
            f"The patch {tag} does not count: it was not {' and not '.join(undone)}.",
            f"Wipe the surface, put on a new patch of at least {needed}, rub it down and record it.",
        )
    if patch.width_mm < width_mm or patch.height_mm < height_mm:
        yield Condition(
            code=ConditionCode.PATCH_TOO_SMALL,
            cavity=penetration.cavity,
            subject=tag,
            detail=f"The patch {tag} is {patch.width_mm:g} x {patch.height_mm:g} mm over a hole of "
            f"{penetration.width_mm:g} x {penetration.height_mm:g} mm: it does not reach {past_mm:g} mm "
            "past it all round.",
            remedy=f"Put a patch of at least {needed} over it and record the patch.",
        )


def _patch_missing(cavity: str | None, tag: str, detail: str, remedy: str) -> Condition:
    return Condition(
        code=ConditionCode.PATCH_MISSING,
        cavity=cavity,
        subject=tag,
        detail=detail,
        remedy=remedy,
        waivable=False,
    )
