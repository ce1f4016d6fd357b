"""The maker's R-value for the whole of a fill, as his label prints it (16 CFR 460.17).

On a US receipt an R-value is read off a row of the maker's chart or it is none: nothing is
interpolated between rows, and an R per inch is never multiplied by inches.
"""

from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.vocabulary import Market
from service.engine.plan.density import Window
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import ClosedRow, Material

NEAR_MM = 0.5
"""As finely as a depth is measured: a row of 184.15 mm is that of a cavity found to be 184 mm deep."""


def label_r(*, cavity: Cavity, density: Window | None, material: Material, market: Market) -> float | None:
    """The printed R (ft2 h F/Btu) that a cavity's fill has, or None where the maker gives none.

    Of an open blow the row that was asked for, which `open_blow` has found to be there. Of a
    closed cavity in the US market the row of its depth that holds for its whole window.
    """
    if density is None:
        return cavity.label_r
    if market is not Market.US:
        return None
    rows = [row for row in material.closed_chart if _holds(row, cavity.depth_mm, density)]
    nearest = min(rows, key=lambda row: abs(row.depth_mm - cavity.depth_mm), default=None)
    return nearest.label_r if nearest else None


def unlabelled(
    *, cavity: Cavity, density: Window | None, label_r: float | None, market: Market
) -> tuple[Message, ...]:
    """What to know of a closed cavity on a US receipt where the maker gives no R; else nothing."""
    if density is None or market is not Market.US or label_r is not None:
        return ()
    return (
        message(
            "plan.no_closed_row",
            depth=Quantity(cavity.depth_mm, "mm"),
            lowest=Quantity(density.lowest_kg_m3.value, "kg/m3"),
            highest=Quantity(density.highest_kg_m3.value, "kg/m3"),
        ),
    )


def _holds(row: ClosedRow, depth_mm: float, density: Window) -> bool:
    lowest, highest = density.lowest_kg_m3.value, density.highest_kg_m3.value
    near = abs(row.depth_mm - depth_mm) <= NEAR_MM
    return near and row.lowest_kg_m3 <= lowest and highest <= row.highest_kg_m3
