"""Conditional requests: RFC 9110, sections 8.8.3 (tags), 13.1.1, 13.1.2 and 13.2.2; RFC 6585 (428)."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine, update

from service.store.session import writing
from service.store.tables import quotes
from tests.api import ACCEPTED, Api, small_building

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]


def draft(api: Api) -> tuple[str, str]:
    """A draft's path and tag."""
    path = f"/v1/quotes/{api.quote()['id']}"
    return path, api.send("GET", path).headers["ETag"]


@pytest.mark.both_databases
def test_a_change_names_the_version_it_changes(api: Api) -> None:
    path, tag = draft(api)
    other = small_building(reference="another")
    assert api.send("PUT", path, other).status_code == 428
    changed = api.send("PUT", path, other, If_Match=tag)
    assert changed.status_code == 200
    assert changed.headers["ETag"] != tag
    assert api.send("PUT", path, other, If_Match=tag).status_code == 412
    assert api.send("GET", path).headers["ETag"] == changed.headers["ETag"]


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        ('"7-00", {tag}', 200),
        ("{tag}", 200),
        ('"7-00"', 412),
        ('"somebody-elses"', 412),
        ("W/{tag}", 412),
        ("*", 428),
        ("1", 400),
        ("", 400),
        ('"1', 400),
    ],
)
def test_if_match_is_read_as_the_standard_says(api: Api, sent: str, status: int) -> None:
    path, tag = draft(api)
    other = small_building(reference="another")
    assert api.send("PUT", path, other, If_Match=sent.format(tag=tag)).status_code == status
    expected = "another" if status == 200 else small_building()["reference"]
    assert api.send("GET", path).json["reference"] == expected


@pytest.mark.parametrize("step", ["offer", "acceptance", "withdrawal"])
def test_a_step_holds_only_for_what_was_seen(api: Api, step: str) -> None:
    path, tag = draft(api)
    said = ACCEPTED if step == "acceptance" else None
    if step == "acceptance":
        tag = api.send("POST", f"{path}/offer").headers["ETag"]
    else:
        changed = api.send("PUT", path, small_building(reference="another"), If_Match=tag)
        stale, tag = tag, changed.headers["ETag"]
        assert api.send("POST", f"{path}/{step}", If_Match=stale).status_code == 412
    assert api.send("POST", f"{path}/{step}", said, If_Match='"99"').status_code == 412
    assert api.send("GET", path).headers["ETag"] == tag
    assert api.send("POST", f"{path}/{step}", said, If_Match=tag).status_code in (200, 201)


def test_what_somebody_has_already_is_not_sent_again(api: Api) -> None:
    job = api.worked()
    certificate = f"/v1/certificates/{api.issue(job).json['id']}"
    path = f"/v1/quotes/{job['quote_id']}"
    for read in (path, f"{path}/document", "/v1/quotes", certificate, f"/v1/jobs/{job['id']}", "/v1/lances"):
        first = api.send("GET", read)
        tag = first.headers["ETag"]
        again = api.send("GET", read, If_None_Match=tag)
        assert (again.status_code, again.data) == (304, b"")
        assert again.headers["ETag"] == tag
        # If-None-Match compares weakly.
        assert api.send("GET", read, If_None_Match=f'"other", W/{tag}').status_code == 304
        assert api.send("GET", read, If_None_Match='"other"').data == first.data


def test_a_job_that_moves_on_has_another_tag(api: Api) -> None:
    job = api.worked()
    path = f"/v1/jobs/{job['id']}"
    tag = api.send("GET", path).headers["ETag"]
    assert api.issue(job).status_code == 201
    assert api.send("GET", path, If_None_Match=tag).json["state"] == "certified"


@pytest.mark.both_databases
def test_an_offer_that_lapsed_has_another_tag_and_can_be_withdrawn_by_either(
    api: Api, database: Engine
) -> None:
    path, _ = draft(api)
    tag = api.send("POST", f"{path}/offer").headers["ETag"]
    yesterday = datetime.now(UTC).date() - timedelta(days=1)
    with writing(database) as connection:
        drop = "DROP TRIGGER quotes_frozen"
        connection.exec_driver_sql(drop if database.dialect.name == "sqlite" else f"{drop} ON quotes")
        connection.execute(update(quotes).values(valid_until=yesterday).where(quotes.c.state == "offered"))
    lapsed = api.send("GET", path, If_None_Match=tag)
    assert lapsed.json["state"] == "lapsed"
    assert api.send("POST", f"{path}/withdrawal", If_Match=tag).status_code == 200
