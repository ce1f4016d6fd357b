"""The service itself keeps an anchor of each firm and day, and is held to it."""

from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import Engine, text

from service.errors import NotKnown
from service.store import tasks as stored
from service.store.session import reading
from service.usecases.base.context import Context
from service.usecases.firm import firms
from service.usecases.keeping import anchors, checks, daily_anchors, tasks
from tests.api import NOW, Api, operator_of
from tests.refusals import refused
from tests.said import said
from tests.tampering import drop_triggers, undone

pytestmark = pytest.mark.usefixtures("papers_plain")


@pytest.fixture
def context(app: Flask, database: Engine) -> Context:
    """The surroundings of the demo firm's office, without a request."""
    nobody = Context(
        database=app.extensions["database"], settings=app.extensions["settings"], caller=None, now=NOW
    )
    return nobody.acting_for(firms.id_of(database, "demo"), "a test")


def test_it_is_made_once_a_day_and_holds(app: Flask, api: Api, database: Engine, context: Context) -> None:
    certificate = api.issue(api.worked()).json
    with operator_of(app) as operator:
        assert daily_anchors.queue(operator, NOW) == 2
        assert daily_anchors.queue(operator, NOW) == 0, "it is waiting to be made"
        with reading(operator) as connection:
            waiting = stored.of(connection, kind=daily_anchors.KIND, subject_id=context.firm_id)
        assert waiting is not None
        for _ in range(2):
            assert tasks.performed(context, waiting) is None
    (kept,) = daily_anchors.listed(context)["items"]
    assert (kept["day"], kept["certificates"]) == ("2026-11-25", 1)
    anchor = anchors.read(daily_anchors.file(context, NOW.date()))
    assert (anchor.firm, anchor.head.sha256) == ("demo", certificate["chain_sha256"])
    assert anchor.journal.count == kept["notes"] > 0
    api.wait()
    assert checks.verify(database, [anchor]).faults == ()
    with refused(NotKnown, "No anchor is kept of the day 24 November 2026"):
        daily_anchors.file(context, NOW.date() - timedelta(days=1))


def test_what_is_kept_is_held_against_the_chains(app: Flask, api: Api, database: Engine) -> None:
    """Whoever makes the journal anew to its end leaves anchors that know another one."""
    day = api.anchored()
    zeros = "0" * 64
    for statement, due in (
        (f"UPDATE journal SET chain_sha256 = '{zeros}'", "is another one than the anchor knows"),
        ("DELETE FROM journal", "the newest are missing"),
        ("UPDATE anchors SET content = '{}'", "This is no anchor"),
    ):
        with undone(database) as connection:
            drop_triggers(connection)
            connection.execute(text(statement))
            found = [said(each) for each in checks.verified(connection, (), NOW).faults]
        assert any(each.startswith("Firm demo: the anchor kept of ") and due in each for each in found), found
    assert day


def test_an_anchor_that_was_taken_away_is_missed(app: Flask, api: Api, database: Engine) -> None:
    api.anchored()
    with undone(database) as connection:
        drop_triggers(connection)
        connection.execute(text("DELETE FROM anchors"))
        found = [said(each) for each in checks.verified(connection, (), NOW).faults]
    assert all("the anchor" in each and "was removed" in each for each in found)
    assert {each.partition(":")[0] for each in found} == {"Firm demo", "Firm other"}
