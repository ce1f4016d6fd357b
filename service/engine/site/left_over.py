"""What was left over in the end: of all lots together or of each, counted as often as one likes."""

from collections.abc import Iterable

from service.engine.site.entries import Delivery


def left_over(*, deliveries: Iterable[Delivery]) -> dict[str | None, float]:
    """Bags left over by lot, by the last word of each; what names no lot is of all lots together.

    `deliveries` are of one material, in the order of what happened. Whoever counted on the first evening and
    on the last has left over what the last count says.
    """
    left: dict[str | None, float] = {}
    for each in deliveries:
        if each.left_over is None:
            continue
        if each.lot is None:
            left.clear()
        left.pop(None, None)
        left[each.lot] = each.left_over
    return left
