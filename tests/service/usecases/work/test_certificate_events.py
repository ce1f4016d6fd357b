"""What is told of a certificate has a kind for each state that it comes into."""

from service.engine.ground.vocabulary import EventKind
from service.usecases.work.certificate_events import TOLD


def test_each_state_of_a_certificate_is_told_by_its_kind() -> None:
    assert {kind for kind in EventKind if kind.value.startswith("certificate.")} == set(TOLD.values())
    assert set(TOLD) == {"in_force", "superseded", "withdrawn"}
