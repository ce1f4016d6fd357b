"""In which order the bays of a cavity are filled, and what each asks for."""

from dataclasses import dataclass

from service.engine.geometry.compartments import Compartment
from service.engine.ground.vocabulary import Method
from service.engine.survey.practice import Sampling

FILL = {
    Method.HOSE: "Push the hose to the end of the bay and draw it back as the fill tightens.",
    Method.SEVERAL_HOSES: "Fill by the hose that lies in this bay and draw it back as the fill tightens.",
    Method.DIVIDED_BAYS: "Push the hose to the end of the bay and draw it back as the fill tightens.",
    Method.LANCE: (
        "Run the lance to the lower end and fill upwards, turning it left and right; turn it round, run it "
        "to the upper end and fill downwards into the corners; draw it out slowly and finish round the hole "
        "in several directions."
    ),
}
SPILL = "Go through the spill from the bay before and compress it again. "
LAST = " Last bay of the compartment: take a sample."


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One bay in its turn; `recompress` where it took spill from a bay filled before it."""

    bay: int
    note: str
    recompress: bool


def sequence(
    *, compartments: tuple[Compartment, ...], method: Method, sampling: Sampling
) -> tuple[Step, ...]:
    """Every bay of one cavity once, from the first to the last, so that spill is always on one side only.

    Of bays that fill moves between every one but the first takes spill, whatever the
    method, and must be compressed again; strips (`divided_bays`) make each bay
    its own. The last bay of a shared compartment is sampled. An open blow knows no
    bays and has no steps.
    """
    if method is Method.OPEN_BLOW:
        return ()
    joined = () if method is Method.DIVIDED_BAYS else compartments
    after_first = {bay for each in joined for bays in each.spills for bay in bays if bay > min(bays)}
    last = {max(each.bays) for each in joined if each.shared} if sampling.last_bay else set()
    return tuple(
        Step(
            bay=bay,
            note=(SPILL if bay in after_first else "") + FILL[method] + (LAST if bay in last else ""),
            recompress=bay in after_first,
        )
        for bay in sorted({bay for compartment in compartments for bay in compartment.bays})
    )
