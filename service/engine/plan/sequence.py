"""In which order the bays of a cavity are filled, and what each asks for."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated

from service.engine.geometry.compartments import Compartment
from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import Method
from service.engine.survey.practice import Sampling

FILL = {
    Method.HOSE: message("plan.fill_by_hose"),
    Method.SEVERAL_HOSES: message("plan.fill_by_hose_that_lies_there"),
    Method.DIVIDED_BAYS: message("plan.fill_by_hose"),
    Method.LANCE: message("plan.fill_by_lance"),
}
BY_HAND = message("plan.fill_by_hand")
SPILL = message("plan.compress_spill")
LAST = message("plan.sample_last_bay")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One bay in its turn."""

    bay: Annotated[int, "number of the bay, from the left"]
    notes: Annotated[tuple[Message, ...], "what is done there, in order"]
    recompress: Annotated[bool, "whether it took spill from a bay filled before it"]


def sequence(
    *,
    compartments: tuple[Compartment, ...],
    method: Method,
    sampling: Sampling,
    by_hand: frozenset[int] = frozenset(),
) -> tuple[Step, ...]:
    """Every bay of one cavity once, from the first to the last, so that spill is always on one side only.

    Of bays that fill moves between every one but the first takes spill, whatever the
    method, and must be compressed again; strips (`divided_bays`) make each bay
    its own. The last bay of a shared compartment is sampled. Bays `by_hand` take no
    hose and no lance. An open blow knows no bays and has no steps.
    """
    if method is Method.OPEN_BLOW:
        return ()
    joined = () if method is Method.DIVIDED_BAYS else compartments
    after_first = {bay for each in joined for bays in each.spills for bay in bays[1:]}
    last = {each.bays[-1] for each in joined if each.shared} if sampling.last_bay else set()
    return tuple(
        [
            _step(bay, None if bay in by_hand else method, bay in after_first, bay in last)
            for bay in sorted(set().union(*[each.bays for each in compartments]))
        ]
    )


@lru_cache(maxsize=1024)  # the steps of most cavities are alike
def _step(bay: int, method: Method | None, spilled: bool, last: bool) -> Step:
    """One bay in its turn; by hand where there is no method."""
    notes = [BY_HAND] if method is None else [SPILL, FILL[method]] if spilled else [FILL[method]]
    return Step(bay=bay, notes=(*notes, LAST) if last else tuple(notes), recompress=spilled)
