"""Photos that entries name and that have not arrived."""

from service.engine.ground.vocabulary import Answer
from service.engine.site.awaited import awaited_photos
from service.engine.site.entries import Check
from service.engine.site.ledger import Ledger
from tests import site

COME, OF_WALL, OF_FLOOR, OF_SPILL, OF_JOB = (f"photo-{number}" for number in range(5))


def test_those_of_the_parts_and_of_none_are_named_by_their_entries() -> None:
    wall = site.fill("W1", mass_kg=20, photos=(COME, OF_WALL))
    floor = site.fill("F1", mass_kg=20, photos=(OF_FLOOR,))
    spill = site.reclaimed(0, cavities=("F1", "W2"), photos=(OF_SPILL,))
    check = Check(code="dust", answer=Answer.CLEAR, photos=(OF_JOB,), **site.said())
    ledger = Ledger(entries=(wall, floor, spill, check))

    def named(*parts: str) -> list[tuple[str, str, tuple[str, ...]]]:
        found = awaited_photos(ledger=ledger, arrived={COME}, parts=parts)
        return [(each.id, each.entry, each.cavities) for each in found]

    of_job = (OF_JOB, check.id, ())
    assert named("W1") == [(OF_WALL, wall.id, ("W1",)), of_job]
    assert named("W2") == [(OF_SPILL, spill.id, ("F1", "W2")), of_job]
    assert named("F1") == [(OF_FLOOR, floor.id, ("F1",)), (OF_SPILL, spill.id, ("F1", "W2")), of_job]
