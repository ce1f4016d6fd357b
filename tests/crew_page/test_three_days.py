"""Three days of a job with all that goes wrong, told on the crew's page alone, and what is certified of it.

The office, the signatory and the client do their part beside it. The days are the story's own: no clock
but its own is asked, by the phones or by the service.
"""

import os
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect
from werkzeug.serving import WSGIRequestHandler

from service.api import auth
from tests import phone_days
from tests.api import PUBLIC, Api, building
from tests.crew_page.test_proposals import a_piece_more
from tests.phone_story import (
    correct,
    day_s_end,
    depth,
    fresh,
    later,
    number_of_part,
    saved_file,
    take_core,
    tomorrow,
)
from tests.phones import Phone, ledger, phone
from tests.story_clock import BEGINS, Clock, StoryPhone
from tests.told_record import assert_says_what_was_said_and_no_more


@pytest.fixture(autouse=True, scope="module")
def clock() -> Iterator[None]:
    """The story's clock in the place of the service's; no answer tells the hour of the real one."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(auth, "datetime", Clock)
        patched.setattr(WSGIRequestHandler, "date_time_string", lambda *_: "")
        yield


def three_parts() -> dict[str, Any]:
    """A deep shared wall, and two gables of closed bays."""
    demo = {cavity["label"]: cavity for cavity in building()["cavities"]}
    wall, gable = demo["GF-N"], demo["WG-W"]
    return {**building(), "cavities": [wall, gable, {**gable, "label": "WG-E", "place": "wing, east gable"}]}


class Story:
    """The job, its crew, and what has become of it so far."""

    def __init__(self, api: Api, folder: Path) -> None:
        self.api, self.folder = api, folder
        self.job = api.job(three_parts())
        self.parts = {each["label"]: each for each in self.job["takeoff"]["cavities"]}
        self.surveyed = {each["label"]: each for each in self.job["cavities"]}
        self.crew = api.send("POST", "/v1/crews", {"name": "The crew"}, Idempotency_Key="crew").json
        days = [{"day": f"{BEGINS + timedelta(days=n):%Y-%m-%d}", "crew": self.crew["id"]} for n in range(3)]
        path = f"/v1/jobs/{self.job['id']}/assignment"
        assert api.send("PUT", path, {"days": days}).status_code == 200
        self.emptied, self.superseded = 0.0, ""

    def picture(self, name: str) -> Path:
        """A file as a camera leaves it."""
        path = self.folder / f"{name}.jpg"
        Image.new("RGB", (800, 600), (120, 90, 60)).save(path)
        os.utime(path, times=(Clock.at.timestamp(),) * 2)
        return path

    def bags(self, label: str, share: float = 1.0) -> float:
        """Bags that this share of a part takes, to a tenth."""
        return round(self.parts[label]["mass_kg"] / self.job["material"]["bag_kg"] * share, 1)


def first_day(story: Story, one: StoryPhone, two: StoryPhone) -> None:
    """A stop, a part that both phones tally, a correction corrected, fills and a tally of one part."""
    wall, gable = "GF-N", "WG-W"
    phone_days.sign(one, "before")
    with one.recorded():
        one.tap(one.page.locator("section.point").first.locator("button.stop"))
    later(one, 0.5)
    phone_days.answer(one)
    one.show(one.at())
    phone_days.deliver(one)
    depth(one, wall, 354)
    later(one, 2)
    number_of_part(one, wall, 14)
    two.show(two.of(wall))
    two.number("bags", 41)
    two.save()
    one.sent()
    two.sent()
    correct(one, wall, "14 bags", 4)
    one.sent()
    correct(one, wall, "4 bags", story.bags(wall, 354 / 360))
    fresh(one)
    correct(one, wall, "Bo: done", None)
    story.emptied += story.bags(wall, 354 / 360)
    # A part of the gable before noon, the rest after it.
    depth(one, gable, 200)
    later(one, 1)
    one.show(one.of(gable, "/fill"))
    one.number("bags", 3)
    one.save()
    later(one, 1)
    number_of_part(one, gable, round(story.bags(gable) - 3, 1), bags_are="besides the 3 bags recorded before")
    story.emptied += story.bags(gable)
    day_s_end(one, spill=4)
    one.sent()


def without_a_network(story: Story, one: StoryPhone, gable: str) -> list[Any]:
    """Another lot and a full bay, the page killed, the link renewed; returns what was in the page's file."""
    one.page.wait_for_function("navigator.serviceWorker.controller !== null")
    one.context.set_offline(True)
    one.show(one.at("/delivery"))
    one.number("delivered", 20)
    one.write("#lot", "L-2")
    one.page.locator("input[type=file]").set_input_files(story.picture("label"))
    expect(one.page.get_by_text("(1 kept)")).to_be_visible()
    one.save()
    one.show(one.of(gable, "/found"))
    one.number("depth", 200)
    one.save()
    one.show(one.of(gable, "/found"))
    one.choose("bay", "2")
    one.choose("state", "full")
    with one.recorded():
        one.tap(one.page.locator("#view form").nth(1).locator("button.main"))
    expect(one.page.locator("header .waits.some")).to_be_visible()
    kept = saved_file(one)["jobs"][story.job["id"]]
    # Killed in between, and the link renewed before anything was sent.
    one.page.close()
    story.crew |= story.api.send("POST", f"/v1/crews/{story.crew['id']}/link", Idempotency_Key="renewed").json
    one.again()
    one.page.goto(f"{one.base}/crew/")
    expect(one.page.locator("header .waits.some")).to_be_visible()
    one.context.set_offline(False)
    one.open(story.crew)
    one.sent()
    return list(kept)


def second_day(story: Story, one: StoryPhone, two: StoryPhone) -> None:
    """What was told without a network has arrived, once; a hole is left open."""
    gable = "WG-E"
    kept = without_a_network(story, one, gable)
    # The office was given the file too, and posts what has arrived by itself: nothing is there twice.
    before = ledger(story.api, story.job)
    assert [each["kind"] for each in kept] == ["delivery", "found", "found"]
    assert story.api.record(story.job, kept).status_code in (200, 201)
    assert ledger(story.api, story.job) == before
    two.open(story.crew)
    later(one, 2)
    load = next(each["mass_kg"] for each in story.parts[gable]["loads"] if each["bays"] == [2])
    bags = round(story.bags(gable) - load / story.job["material"]["bag_kg"], 1)
    one.show(one.of(gable, "/differs"))
    one.page.locator("section:has(.drawing)").nth(1).locator('[data-hole="3"]').click()
    one.number("bags", bags)
    one.page.locator("[name=run_empty]").check()
    one.choose("lot", "L-2")
    one.save()
    story.emptied += bags
    day_s_end(one, spill=3)
    one.sent()


def propose(story: Story, two: StoryPhone) -> None:
    """A piece of wall that nobody planned: the office offers it, the client accepts it on his link."""
    api, path = story.api, f"/v1/jobs/{story.job['id']}/supplements"
    two.show(two.of("GF-N"))
    a_piece_more(two, "GF-N", "Niche", 2.4)
    two.sent()
    (proposed,) = api.send("GET", path).json["items"]
    assert (proposed["by"], proposed["parts"]) == ("Bo", ["Niche"])
    assert api.send("POST", f"{path}/{proposed['id']}/offer", {}).status_code == 200
    api.wait(later=timedelta(days=4))
    quote = f"/v1/quotes/{story.job['quote_id']}"
    link = api.send("POST", f"{quote}/links", {"days": 3}, Idempotency_Key="link").json["url"]
    client = two.context.browser.new_page()
    client.goto(f"{two.base}{link.removeprefix(PUBLIC)}")
    form = client.locator("form[action$='acceptance']")
    form.locator("[name=name]").fill("A client")
    form.locator("button").click()
    expect(client.get_by_text("Accepted", exact=False).first).to_be_visible()
    client.close()
    fresh(two)
    two.show(two.at("/supplements"))
    expect(two.page.get_by_text("The client has accepted it", exact=False)).to_be_visible()
    now = api.send("GET", f"/v1/jobs/{story.job['id']}/working").json
    two.show(two.at("/checks/before"))
    phone_days.answer(two)
    story.parts["Niche"], story.surveyed["Niche"] = now["takeoff"]["cavities"][-1], now["cavities"][-1]


def third_day(story: Story, one: StoryPhone, two: StoryPhone) -> None:
    """The part that nobody planned, a core too loose and packed again, the hole closed, and the end."""
    depth(two, "Niche", 360)
    later(two, 1)
    number_of_part(two, "Niche", story.bags("Niche"), lot="L-1")
    story.emptied += story.bags("Niche")
    two.sent()
    fresh(one)
    one.show(one.at())
    expect(one.page.locator(".name", has_text="Niche")).to_be_visible()
    for label, part in story.parts.items():
        surveyed = story.surveyed[label]
        deep = {"GF-N": 354}.get(label, phone_days.depth_mm(surveyed))
        right = phone_days.core_g(part, surveyed, story.job["core_diameter_mm"])
        right = round(right * deep / phone_days.depth_mm(surveyed))
        for place, bay in enumerate(part["fill_plan"]["proof"]["sampled_bays"]):
            if label == "GF-N" and place == 0:
                take_core(one, label, bay, round(0.75 * right))
                later(one, 0.5)
                one.show(one.of(label, "/fill"))
                one.number("mass_kg", 1.5)
                one.choose("bay", str(bay))
                one.choose("lot", "L-1")
                one.save()
                later(one, 0.5)
            take_core(one, label, bay, right)
    one.show(one.of("WG-E"))
    with one.recorded():
        one.tap(one.page.get_by_role("button", name="They are closed now"))
    one.show(one.at("/photo/WG-E"))
    one.page.locator("#picture").set_input_files(story.picture("closed"))
    one.write("#caption", "Hole 3, closed")
    # No entry, and not said to be recorded: back at the part, the picture was scaled down and is kept.
    Phone.save(one)
    expect(one.page.get_by_role("heading", name="WG-E", exact=True)).to_be_visible()
    one.show(one.at())
    phone_days.sign(one, "after")
    day_s_end(one, spill=2, left=round(350 - story.emptied - 1.5 / story.job["material"]["bag_kg"], 1))
    one.sent()


def test_three_days_are_told_on_the_page_and_certified_as_they_were(
    api: Api, browser: Browser, port: int, tmp_path: Path
) -> None:
    story = Story(api, tmp_path)
    with (
        phone(browser, port, story.job, kind=StoryPhone) as one,
        phone(browser, port, story.job, kind=StoryPhone) as two,
    ):
        one.start(story.crew, "Alex")
        two.start(story.crew, "Bo")
        first_day(story, one, two)
        tomorrow(one)
        second_day(story, one, two)
        propose(story, two)
        tomorrow(one)
        third_day(story, one, two)
        one.show(one.at("/ready"))
        one.page.get_by_role("button", name="Look again").click()
        expect(one.page.get_by_text("Nothing stands in the way.")).to_be_visible()
        issued = certified(story, one)
    record = api.send("GET", f"/v1/certificates/{issued.json['id']}/record").json
    assert_says_what_was_said_and_no_more(
        record, ledger(api, story.job), labels=list(story.parts), supersedes=[story.superseded]
    )


def certified(story: Story, one: StoryPhone) -> Any:
    """A part first; and what was previewed of all is signed only once it says what the phone added."""
    api, job = story.api, story.job
    part = api.issue(job, "WG-W")
    assert part.status_code == 201, part.text
    seen = api.preview(job).headers["ETag"]
    one.show(one.at("/note"))
    one.write("#remark", "The scaffold stays until Monday")
    one.save()
    one.sent()
    assert api.issue(job, seen=seen).status_code == 412
    issued = api.issue(job)
    assert issued.status_code == 201, issued.text
    story.superseded = part.json["number"]
    return issued
