"""The office has the anchors of its own firm, to keep them elsewhere."""

from service.usecases.keeping import anchors
from tests.api import Api, problem


def test_the_anchor_of_a_day_is_a_file(api: Api) -> None:
    day = api.anchored()
    (listed,) = api.send("GET", "/v1/anchors").json["items"]
    assert listed["day"] == day
    assert listed.keys() == {"day", "made_at", "certificates", "notes"}
    answer = api.send("GET", f"/v1/anchors/{day}")
    assert answer.headers["Content-Disposition"] == f'attachment; filename="anchor-{day}.json"'
    anchor = anchors.read(answer.data)
    assert (anchor.firm, anchor.journal.count) == ("demo", listed["notes"])


def test_a_day_without_one_is_not_there(api: Api) -> None:
    for day, told in (("2020-01-01", "1 January 2020"), ("2026-W48", "2026-W48"), ("today", "today")):
        detail = problem(api.send("GET", f"/v1/anchors/{day}"), 404)["detail"]
        assert detail.replace("\u00a0", " ") == f"No anchor is kept of the day {told}."
