"""What certified parts teach: median and quartiles of mass over plan, and nothing from a few jobs."""

import pytest

from service.engine.ground.vocabulary import Element, Method
from service.engine.site.learned import FEWEST_JOBS, Done, learned


def done(number: int, real_kg: float, element: Element = Element.WALL) -> Done:
    return Done(job=f"J-{number}", element=element, method=Method.HOSE, planned_kg=100.0, real_kg=real_kg)


def test_median_and_quartiles_are_those_of_the_inclusive_method() -> None:
    """By hand, R's type 7 (Hyndman and Fan 1996, from memory): of 1.00 to 1.09 1.0225, 1.045 and 1.0675."""
    (found,) = learned(parts=[done(number, 100.0 + number) for number in range(FEWEST_JOBS)])
    assert (found.element, found.method, found.jobs, found.parts) == (Element.WALL, Method.HOSE, 10, 10)
    quartiles = (found.lower_quartile, found.median, found.upper_quartile)
    assert quartiles == pytest.approx((1.0225, 1.045, 1.0675))


def test_a_few_jobs_teach_nothing_however_many_parts_they_have() -> None:
    assert learned(parts=[done(number % 9, 100.0) for number in range(90)]) == ()


def test_each_element_is_by_itself() -> None:
    walls = [done(number, 100.0) for number in range(10)]
    roofs = [done(number, 110.0, Element.ROOF_SLOPE) for number in range(10)]
    found = {each.element: each.median for each in learned(parts=[*walls, *roofs])}
    assert found == pytest.approx({Element.WALL: 1.0, Element.ROOF_SLOPE: 1.1})
