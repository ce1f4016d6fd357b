"""The crew's page where phones live: no network, half a network, killed in between, two at once."""

import json
import random
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from playwright.sync_api import Browser, Error, Route, expect

from tests.api import Api, small_building
from tests.long import rounds
from tests.phones import Phone, crew_of, ledger, phone, today

ENTRIES = "**/v1/jobs/*/entries"
DISTURBANCES = (
    "none",
    "cut",
    "lost_request",
    "lost_answer",
    "killed",
    "killed_at_once",
    "crashed",
    "server_down",
)


class Weather:
    """What becomes of the requests that a phone sends entries with."""

    def __init__(self, one: Phone) -> None:
        self.one = one
        self.now = "none"
        one.context.route(ENTRIES, self._send)

    def _send(self, route: Route) -> None:
        try:
            if route.request.method != "POST" or self.now in ("none", "cut"):
                route.continue_()
            elif self.now == "lost_request":
                route.abort()
            elif self.now == "server_down":
                route.fulfill(status=503, body="")
            else:
                # The worst of all: the service has it, and the phone never hears of it.
                route.fetch()
                route.abort()
        except Error:
            """The page that asked was killed in between."""

    def turn(self, kind: str) -> None:
        """Change the weather."""
        self.now = kind
        self.one.context.set_offline(kind == "cut")


def note(one: Phone, text: str, *, seen: bool) -> None:
    """Record a note; `seen` waits until the page says that it is recorded."""
    one.show(one.at("/note"))
    one.page.locator("#remark").fill(text)
    # A view that nobody has touched yet may be made anew by an answer: from here on it is not.
    if one.page.locator("#remark").input_value() != text:
        one.page.locator("#remark").fill(text)
    one.page.evaluate("document.getElementById('notice').className = ''")
    one.page.locator("#view form > button.main").click()
    if seen:
        expect(one.page.locator("#notice.shown")).to_be_visible()


def until(one: Phone, said: str) -> None:
    """Wait until this is so, in the page's own words."""
    for _ in range(50):
        if one.page.evaluate(f"async () => {said}"):
            return
        one.page.wait_for_timeout(100)
    raise AssertionError(said)


def kill(one: Phone, *, crash: bool) -> None:
    """The page goes without a word, and is opened again: by the worker, where there is no network."""
    if crash:
        with suppress(Error):
            one.page.goto("chrome://crash", timeout=2000)
    one.page.close()
    one.again()
    one.page.goto(f"{one.base}/crew/#/{one.at()}")
    expect(one.page.locator("h1")).to_contain_text(one.job["number"])


def test_no_entry_is_lost_or_doubled_by_cuts_and_kills(api: Api, browser: Browser, port: int) -> None:
    chance = random.Random(11)
    job = api.job(small_building())
    made, perhaps = [], []
    with phone(browser, port, job) as one:
        one.start(crew_of(api, job, "Crew in bad weather", today()))
        one.page.wait_for_function("navigator.serviceWorker.controller !== null")
        weather = Weather(one)
        for number in range(rounds(12, 500)):
            kind = chance.choice(DISTURBANCES)
            weather.turn(chance.choice(DISTURBANCES[:4]) if kind.startswith(("killed", "crashed")) else kind)
            text = f"note {number}"
            note(one, text, seen=kind != "killed_at_once")
            (perhaps if kind == "killed_at_once" else made).append(text)
            if chance.random() < 0.6:
                one.pass_time()
                one.page.wait_for_timeout(chance.choice((0, 20, 120)))
            if kind.startswith(("killed", "crashed")):
                kill(one, crash=kind == "crashed")
        weather.turn("none")
        one.page.evaluate("dispatchEvent(new Event('online'))")
        one.sent()
    found = Counter(entry["data"]["remark"] for entry in ledger(api, job))
    assert [text for text in made if found[text] != 1] == []
    assert [text for text in perhaps if found[text] > 1] == []
    assert set(found) <= {*made, *perhaps}


@pytest.fixture(scope="module")
def far(app: Flask) -> Any:
    return Api(app).job(small_building())


def test_it_opens_without_a_network_after_the_first_visit(
    api: Api, browser: Browser, port: int, far: Any
) -> None:
    with phone(browser, port, far) as one:
        one.start(crew_of(api, far, "Crew in a cellar", today()))
        one.page.wait_for_function("navigator.serviceWorker.controller !== null")
        one.context.set_offline(True)
        one.page.close()
        one.again()
        one.page.goto(f"{one.base}/crew/")
        expect(one.page.get_by_text(far["number"])).to_be_visible()
        expect(one.page.locator("header .state")).to_contain_text("No network")
        for more in ("", "/checks/before", "/ready", "/day"):
            one.show(one.at(more))
            expect(one.page.locator("h1")).to_be_visible()
        one.show(one.of(far["cavities"][0]["label"]))
        expect(one.page.locator(".elevation .hole").first).to_be_visible()


def test_the_jobs_are_there_within_one_round_trip(api: Api, browser: Browser, port: int, far: Any) -> None:
    """What is known is shown at once; the first answer that is waited for is the list of jobs."""
    with phone(browser, port, far) as one:
        one.start(crew_of(api, far, "Crew in a hurry", today()))
        one.page.wait_for_function("navigator.serviceWorker.controller !== null")
        one.page.close()
        one.context.route("**/v1/**", lambda route: None)
        one.again()
        one.page.goto(f"{one.base}/crew/")
        expect(one.page.get_by_text(far["number"])).to_be_visible()


def test_two_phones_see_each_other_and_a_part_told_twice(api: Api, browser: Browser, port: int) -> None:
    job = api.job(small_building())
    wall = job["cavities"][0]["label"]
    crew = crew_of(api, job, "Crew of two phones", today())
    with phone(browser, port, job) as one, phone(browser, port, job) as two:
        one.start(crew, "Alex")
        two.start(crew, "Bo")
        for each, bags in ((one, 41), (two, 41.5)):
            each.show(each.of(wall))
            each.number("bags", bags)
        # Both have typed before either has sent.
        one.save()
        two.save()
        one.sent()
        two.sent()
        for each in (one, two):
            each.show(each.at("/ready"))
            each.page.get_by_role("button", name="Look again").click()
            expect(each.page.get_by_text("tallied", exact=False).first).to_be_visible()
            each.show(each.at("/ledger"))
            expect(each.page.get_by_text("Alex: done, 41 bags")).to_be_visible()
            expect(each.page.get_by_text("Bo: done, 41.5 bags")).to_be_visible()
        two.page.locator("li", has_text="Bo: done").get_by_role("link").click()
        two.page.get_by_role("button", name="Recorded twice").click()
        two.page.locator("button.stop").click()
        two.sent()
    found = api.send("GET", f"/v1/jobs/{job['id']}/assessment").json
    assert "counted_twice" not in {each["code"] for each in found["unmet"]}
    assert found["cavities"][0]["bags"] == 41


@pytest.fixture
def worked(api: Api, browser: Browser, port: int) -> Iterator[tuple[Phone, Any]]:
    """A phone and its crew."""
    job = api.job(small_building())
    crew = crew_of(api, job, f"Crew of {job['number']}", today())
    with phone(browser, port, job) as one:
        one.start(crew)
        yield one, crew


def test_what_is_refused_is_set_aside_with_its_reason_and_the_rest_goes_through(
    api: Api, worked: tuple[Phone, Any]
) -> None:
    one, _ = worked
    wrong = {"kind": "note", "id": str(uuid4()), "happened_at": "2026-11-25T08:00:00Z", "by": "Alex"}
    one.page.evaluate(
        "async ([job, entry]) => (await import('./outbox.js')).add(job, { entries: [entry] })",
        [one.job["id"], wrong],
    )
    note(one, "after the wrong one", seen=True)
    one.pass_time()
    one.show("unsent")
    expect(one.page.get_by_text("Refused:", exact=False)).to_be_visible()
    expect(one.page.locator("header .waits.some")).to_contain_text("1 not sent yet")
    assert [entry["data"]["remark"] for entry in ledger(api, one.job)] == ["after the wrong one"]
    one.page.get_by_role("button", name="Discard").click()
    expect(one.page.locator("header .waits:not(.some)")).to_be_visible()


def test_a_revoked_link_sends_nothing_offers_its_file_and_goes_on_after_it_was_renewed(
    api: Api, worked: tuple[Phone, Any]
) -> None:
    one, crew = worked
    assert api.send("DELETE", f"/v1/crews/{crew['id']}").status_code == 204
    note(one, "kept on the phone", seen=True)
    one.pass_time()
    expect(one.page.locator("header")).to_contain_text("no longer in force")
    one.show("unsent")
    with one.page.expect_download() as saved:
        one.page.get_by_role("button", name="Save unsent").click()
    content = json.loads(saved.value.path().read_text())
    (kept,) = content["jobs"][one.job["id"]]
    assert (content["format"], kept["remark"]) == ("baywright-entries-1", "kept on the phone")
    assert ledger(api, one.job) == []
    # The office posts the file; the crew gets another link, and the phone sends what had arrived.
    assert api.record(one.job, [kept]).status_code == 201
    one.open(api.send("POST", f"/v1/crews/{crew['id']}/link", Idempotency_Key=kept["id"]).json)
    one.sent()
    assert [entry["id"] for entry in ledger(api, one.job)] == [kept["id"]]


def test_a_clock_that_is_wrong_is_put_right(api: Api, worked: tuple[Phone, Any]) -> None:
    one, _ = worked
    one.context.clock.fast_forward("26:00:00")
    one.page.evaluate("dispatchEvent(new Event('online'))")
    until(one, "(await import('./server.js')).clockOffset() < -90000")
    note(one, "from tomorrow", seen=True)
    one.sent()
    (entry,) = ledger(api, one.job)
    assert not entry["clock_doubtful"]
    assert entry["data"]["clock_offset_s"] == pytest.approx(-26 * 3600, abs=60)


def test_what_was_known_of_a_client_goes_with_the_job(api: Api, worked: tuple[Phone, Any]) -> None:
    one, _ = worked
    one.sent()
    assert api.send("POST", f"/v1/jobs/{one.job['id']}/closure").status_code == 200
    one.page.evaluate("dispatchEvent(new Event('online'))")
    until(one, "(await (await import('./store.js')).all('jobs')).length === 0")
