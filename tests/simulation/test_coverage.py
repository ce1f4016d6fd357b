"""Does the stated interval hold what is so? Sites are played (`tests/played_jobs.py`), not tables.

Of each kind of job the density is stated with U (k = 2); it should hold the true one in
94 to 98 of 100 jobs, and be at most 1.3 times wider than an interval that just does. What lies
outside these limits is named in EXCEPTIONS with its cause, or fails.
"""

import numpy
import pytest

from tests.played_jobs import JOBS

SHORT, LONG = 200, 5000
COVERED = (0.94, 0.98)
WIDEST = 1.3
EXCEPTIONS = {
    "an attic by the label": (
        "the mass of a bag by its label is anything from the minimum up, and next to nothing else errs: "
        "2 u of one rectangular input hold all of it, 1.15 half-widths where 0.95 would do"
    )
}


def played(kind: str, jobs: int) -> tuple[float, float]:
    """How often the stated interval holds what is so, and how much wider it is than need be."""
    outcomes = [JOBS[kind](seed) for seed in range(jobs)]
    off = numpy.array([abs(each.stated - each.true) / each.expanded_u for each in outcomes])
    return float(numpy.mean(off <= 1)), float(1 / numpy.quantile(off, 0.9545))


@pytest.mark.parametrize("kind", JOBS)
def test_the_stated_interval_holds_what_is_so(kind: str) -> None:
    """The short form: of 200 jobs the share held is known to 3 in 100 (k = 2), so that much is allowed."""
    held, wider = played(kind, SHORT)
    within = COVERED[0] - 0.03 <= held <= COVERED[1] + 0.02
    assert kind in EXCEPTIONS or (within and wider <= WIDEST * 1.05), (held, wider)


@pytest.mark.slow
@pytest.mark.parametrize("kind", JOBS)
def test_and_is_no_wider_than_need_be(kind: str) -> None:
    held, wider = played(kind, LONG)
    assert kind in EXCEPTIONS or (COVERED[0] <= held <= COVERED[1] and wider <= WIDEST), (held, wider)


def test_an_exception_has_its_cause() -> None:
    assert set(EXCEPTIONS) <= set(JOBS)
    assert all(EXCEPTIONS.values())
