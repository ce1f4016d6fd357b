"""Cavities with what was worked out for them."""

from service.documents.papers.parts import parts, window
from tests.service.documents import facts


def test_each_cavity_has_its_own_plan_whatever_the_order() -> None:
    quoted = facts.quote()
    quoted["takeoff"]["cavities"].reverse()
    assert [part["planned"]["label"] for part in parts(quoted)] == [c.label for c in facts.cavities()]
    assert [part["place"] for part in parts(quoted)] == [1, 2, 3, 4, 5, 6]


def test_the_window_is_low_target_high_and_none_for_an_open_blow() -> None:
    planned = facts.quote()["takeoff"]["cavities"]
    # The data sheet's 50 and 70 kg/m3 bind; the band for deep walls has the target of 60 (tests/builders.py).
    assert window(planned[0]["density"]) == (50.0, 55.0, 70.0)
    assert window(planned[-1]["density"]) is None
