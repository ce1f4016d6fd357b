"""What is made on the way is kept by its kind."""

import pytest

from service.engine.ground.working import Working


def test_one_of_each_kind_is_kept() -> None:
    working = Working()
    for made in (1, "two", 3):
        working.keep(made)
    assert (working.of(int), working.of(str)) == (3, "two")
    with pytest.raises(KeyError):
        working.of(float)
