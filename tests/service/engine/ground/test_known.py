import pytest

from service.engine.ground.known import Known


def test_what_was_found_is_not_worked_out_again() -> None:
    known, asked = Known(), []
    for _ in range(2):
        assert known.of(("depth", 200), lambda: asked.append(1) or 7) == 7
    assert known.of(("depth", 300), lambda: 8) == 8
    assert asked == [1]


def test_what_failed_is_not_known() -> None:
    known = Known()
    with pytest.raises(ZeroDivisionError):
        known.of("a", lambda: 1 / 0)
    assert known.of("a", lambda: 1) == 1
