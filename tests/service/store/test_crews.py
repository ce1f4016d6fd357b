"""Crews of a firm, their links that hold, and the days that jobs are assigned to them."""

from datetime import timedelta
from uuid import UUID

import pytest
from sqlalchemy.exc import IntegrityError
from uuid6 import uuid7

from service.store import crews, keys
from tests.stored import LATER, NOW, TODAY, Site, crew, firm, job, key, moment

TOMORROW = TODAY + timedelta(days=1)


def assign(site: Site, *days: tuple[object, UUID], job_id: UUID | None = None) -> UUID:
    row = {**site.owned, "id": uuid7(), "days": [str(day) for day, _ in days], "assigned_at": NOW}
    crews.assign(site.connection, {**row, "job_id": job_id or site.job_id}, days)  # type: ignore[arg-type]
    return row["id"]  # type: ignore[return-value]


def test_a_firms_crews_by_their_names(site: Site) -> None:
    south, north = (crew(site.connection, site.firm_id, name) for name in ("South", "North"))
    other = firm(site.connection)
    crew(site.connection, other, "North")
    assert [each["id"] for each in crews.of_firm(site.connection, site.firm_id)] == [north, south]
    found = crews.by_name(site.connection, firm_id=site.firm_id, name="South")
    assert found
    assert found["id"] == south
    assert crews.by_id(site.connection, firm_id=site.firm_id, crew_id=south) == found
    assert crews.by_id(site.connection, firm_id=other, crew_id=south) is None


def test_a_firm_has_each_name_once(site: Site) -> None:
    crew(site.connection, site.firm_id)
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        crew(site.connection, site.firm_id)


def test_a_link_is_in_force_until_it_ends(site: Site) -> None:
    crew_id = crew(site.connection, site.firm_id)
    kept, ended, ending = (
        key(site.connection, site.firm_id, prefix=f"crew-{n}", crew_id=crew_id) for n in range(3)
    )
    keys.end(site.connection, "crew-1", at=NOW, now=NOW)
    keys.end(site.connection, "crew-2", at=LATER, now=NOW)
    found = crews.links_in_force(site.connection, firm_id=site.firm_id, now=moment(0.5))
    # The key of an office is nobody's link.
    assert {link["id"] for link in found} == {kept, ending}
    assert not any("digest" in link for link in found)
    assert crews.links_in_force(site.connection, firm_id=firm(site.connection), now=NOW) == []
    assert crews.first_link(site.connection, crew_id) == kept
    assert crews.first_link(site.connection, uuid7()) is None
    assert ended not in {link["id"] for link in found}


def test_the_newest_assignment_holds_and_the_older_ones_stay(site: Site) -> None:
    north, south = (crew(site.connection, site.firm_id, name) for name in ("North", "South"))
    assigned = [
        assign(site, (TODAY, north)),
        assign(site, (TOMORROW, north), (TODAY, south), (TODAY, north)),
    ]
    found = crews.days_of(site.connection, [site.job_id])
    assert [(each["day"], each["name"]) for each in found] == [
        (TODAY, "North"),
        (TODAY, "South"),
        (TOMORROW, "North"),
    ]
    assigned.append(assign(site))
    assert crews.days_of(site.connection, [site.job_id]) == []
    assert [each["id"] for each in crews.assignments_of(site.connection, site.job_id)] == assigned


def test_days_of_one_job_leave_anothers_alone(site: Site) -> None:
    north = crew(site.connection, site.firm_id)
    other = job(site.connection, site.firm_id)
    assign(site, (TODAY, north), job_id=other)
    assign(site, (TOMORROW, north))
    assign(site)
    days = crews.days_of(site.connection, [site.job_id, other])
    assert [(each["job_id"], each["day"]) for each in days] == [(other, TODAY)]


@pytest.mark.parametrize(
    ("since", "until", "assigned"),
    [(0, 0, True), (-3, 0, True), (0, 3, True), (1, 3, False), (-3, -1, False)],
)
def test_a_crew_is_assigned_on_a_day_within(site: Site, since: int, until: int, assigned: bool) -> None:
    north, south = (crew(site.connection, site.firm_id, name) for name in ("North", "South"))
    assign(site, (TODAY, north))

    def is_assigned(crew_id: UUID) -> bool:
        return crews.is_assigned(
            site.connection,
            job_id=site.job_id,
            crew_id=crew_id,
            since=TODAY + timedelta(days=since),
            until=TODAY + timedelta(days=until),
        )

    assert is_assigned(north) is assigned
    assert is_assigned(south) is False
