"""By hand: ten like bays less the last, 0.02 m3 displaced within a fifth of it."""

from math import hypot, sqrt

import pytest

from service.engine.geometry.displaced_errors import displaced_shares
from service.engine.geometry.plane import plane
from service.engine.geometry.reckoned import reckoned
from service.engine.survey.cavity import Displaced
from service.engine.survey.uncertainties import SURVEY
from tests.builders import displaced, stud_wall

ALL = range(1, 11)


def shares(taken: tuple[Displaced, ...], bays) -> dict[str, float]:
    space = reckoned(laid_out=plane(cavity=stud_wall(displaced=taken)), bays=bays)
    return {share.of: share.u for share in displaced_shares(space=space, errors=SURVEY)}


def test_what_lies_in_a_known_bay_errs_there_and_nowhere_else() -> None:
    taken = displaced(0.02, bay=3)
    expected = pytest.approx(-0.2 * 0.02 / sqrt(3))
    assert shares(taken, [3]) == {"displaced 0": expected}
    assert shares(taken, ALL) == {"displaced 0": expected}
    assert shares(taken, [4])["displaced 0"] == 0


def test_a_half_width_of_its_own_takes_the_place_of_the_firm_s() -> None:
    taken = (Displaced(volume_m3=0.02, u_m3=0.003, bay=3),)
    assert shares(taken, [3])["displaced 0"] == pytest.approx(-0.003 / sqrt(3))


def test_where_the_bay_is_not_known_one_bay_may_hold_all_of_it_and_all_together_hold_it_once() -> None:
    """The half-width in one bay is about the whole volume; in the sum of all bays the place errs nothing."""
    one, whole = shares(displaced(0.02), [3]), shares(displaced(0.02), ALL)
    where = hypot(*[u for of, u in one.items() if of != "displaced 0"])
    assert where == pytest.approx(0.02 / sqrt(3), rel=0.02)
    assert set(whole) == {"displaced 0"}
    assert whole["displaced 0"] == pytest.approx(-0.2 * 0.02 / sqrt(3))
