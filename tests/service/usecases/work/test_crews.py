"""A crew has one link in force, and sees the jobs that it is assigned to, for a while."""

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from service.errors import Conflict, InvalidInput, NotKnown
from service.store.session import reading
from service.usecases.base.context import Context
from service.usecases.work import crews
from tests.stored import NOW, TODAY, Site


def made(context: Context, name: str = "North") -> dict[str, Any]:
    return crews.create(context, name)


def days(context: Context, own: Site, *days: tuple[int, str]) -> Any:
    said = [{"day": TODAY + timedelta(days=day), "crew": UUID(crew)} for day, crew in days]
    return crews.assign(context, own.job_id, said)["days"]


def test_a_name_is_one_crews(context: Context) -> None:
    made(context)
    with pytest.raises(Conflict):
        made(context)


def test_a_link_is_in_the_fragment_and_renewed_in_place_of_the_one_before(context: Context) -> None:
    crew = made(context)
    again = crews.renew(context, UUID(crew["id"]))
    assert "/crew/#" in crew["url"]
    assert again["url"] != crew["url"]
    (listed,) = crews.listed(context)["items"]
    assert listed["link"] is not None
    crews.revoke(context, UUID(crew["id"]))
    (listed,) = crews.listed(context)["items"]
    assert listed["link"] is None
    with pytest.raises(NotKnown):
        crews.renew(context, uuid4())


def test_days_are_held_in_order_and_replaced_whole(context: Context, own: Site) -> None:
    north, south = made(context), made(context, "South")
    found = days(context, own, (1, north["id"]), (0, south["id"]), (0, north["id"]))
    assert [each["name"] for each in found] == ["North", "South", "North"]
    assert days(context, own) == crews.assignment(context, own.job_id)["days"] == []


def test_strangers_and_twins_are_refused_by_their_place(context: Context, own: Site) -> None:
    north = made(context)["id"]
    with pytest.raises(InvalidInput) as raised:
        days(context, own, (0, north), (0, str(uuid4())))
    assert [fault.pointer for fault in raised.value.faults] == ["/days/1/crew"]
    with pytest.raises(InvalidInput) as raised:
        days(context, own, (0, north), (0, north))
    assert [fault.pointer for fault in raised.value.faults] == ["/days"]
    with pytest.raises(NotKnown):
        crews.assign(context, uuid4(), [])


@pytest.mark.parametrize(("day", "sees"), [(0, True), (1, True), (2, False), (-30, True), (-31, False)])
def test_a_crew_sees_its_jobs_a_day_ahead_and_a_month_back(
    context: Context, own: Site, day: int, sees: bool
) -> None:
    crew = made(context)["id"]
    days(context, own, (day, crew))
    assert context.caller
    theirs = replace(context, caller=replace(context.caller, crew_id=UUID(crew)), now=NOW)
    with reading(context.database, firm_id=own.firm_id) as connection:
        assert crews.may_see(connection, theirs, own.job_id) is sees
        assert crews.may_see(connection, context, own.job_id) is True
