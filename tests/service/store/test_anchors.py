"""Of each firm one anchor a day is kept: the first."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from uuid6 import uuid7

from service.store import anchors, tasks
from service.store.row_types import WholeAnchor
from tests.stored import NOW, TODAY, Site, firm


def row(firm_id: UUID, **columns: Any) -> WholeAnchor:
    plain: WholeAnchor = {
        "id": uuid7(),
        "firm_id": firm_id,
        "day": TODAY,
        "made_at": NOW,
        "certificates": 1,
        "notes": 2,
        "content": "{}",
    }
    return {**plain, **columns}  # type: ignore[typeddict-item]


def test_the_first_of_a_day_stays(site: Site) -> None:
    first = row(site.firm_id)
    assert anchors.add(site.connection, first)
    assert not anchors.add(site.connection, row(site.firm_id, content="another"))
    assert anchors.of_day(site.connection, site.firm_id, TODAY) == first
    earlier = row(site.firm_id, day=TODAY - timedelta(days=1))
    assert anchors.add(site.connection, earlier)
    assert [each["day"] for each in anchors.listed(site.connection, site.firm_id)] == [TODAY, earlier["day"]]
    assert list(anchors.of_firm(site.connection, site.firm_id)) == [earlier, first]
    assert anchors.listed(site.connection, firm(site.connection)) == []


def test_firms_without_one_are_found_unless_it_is_being_made(site: Site) -> None:
    other, third = firm(site.connection), firm(site.connection)
    assert anchors.add(site.connection, row(other))
    tasks.add(site.connection, firm_id=third, kind="trial", subject_id=third, now=NOW)
    found = anchors.firms_without(site.connection, TODAY, kind="trial")
    assert site.firm_id in found
    assert not {other, third} & set(found)
    assert {other, third} <= set(anchors.firms_without(site.connection, TODAY + timedelta(1), kind="anchor"))
