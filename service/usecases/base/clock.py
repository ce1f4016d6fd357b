"""What the service's clock says of moments that others state."""

from datetime import datetime, timedelta

GRACE = timedelta(minutes=10)
"""By how much two clocks may differ that are both called right."""


def is_beyond(moment: datetime, now: datetime) -> bool:
    """Whether `moment` is one that has not come yet, clocks apart."""
    return moment > now + GRACE
