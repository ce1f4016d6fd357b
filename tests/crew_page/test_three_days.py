"""Three days of a job with all that goes wrong, told on the crew's page alone, and what is certified of it.

The office, the signatory and the client do their part beside it. The days are the story's own: no clock
but its own is asked, by the phones or by the service.
"""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from math import pi
from pathlib import Path
from typing import Any, ClassVar

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect
from werkzeug.serving import WSGIRequestHandler

from service.api import auth
from tests import phone_days
from tests.api import PUBLIC, Api, building
from tests.crew_page.test_proposals import a_piece_more
from tests.phones import Phone, ledger, phone

BEGINS = datetime(2026, 11, 25, 8, tzinfo=UTC)
"""The first morning, of a day on which the demo firm's prices hold."""


class Clock(datetime):
    """The clock of the story, which the service and the phones go by; it goes on where the story does."""

    at = BEGINS
    phones: ClassVar[list[Phone]] = []

    @classmethod
    def now(cls, tz: Any = None) -> datetime:  # type: ignore[override]
        """The story's moment."""
        return cls.at

    @classmethod
    def pass_(cls, time: timedelta) -> None:
        """Time passes for all; for the service first, so that no phone is ahead of it."""
        cls.at += time
        for each in cls.phones:
            each.context.clock.fast_forward(int(time.total_seconds() * 1000))


class StoryPhone(Phone):
    """A phone that goes by the story's clock."""

    def set_clock(self) -> None:
        """The clock stands still, but for what the story says."""
        self.context.clock.install(time=Clock.at - timedelta(seconds=1))
        self.context.clock.pause_at(Clock.at)
        Clock.phones.append(self)

    def pass_time(self) -> None:
        """Let the time pass in which an act can be undone, in whole seconds as entries have them."""
        Clock.pass_(timedelta(seconds=7))

    def save(self, value: str = "") -> None:
        """Touch the form's button; nothing goes on before the page says that it is recorded."""
        with self.recorded():
            super().save(value)

    @contextmanager
    def recorded(self) -> Iterator[None]:
        """What is touched in this block is recorded by the page, which says so."""
        self.page.evaluate("document.getElementById('notice').className = ''")
        yield
        expect(self.page.locator("#notice.shown")).to_be_visible()


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


def fresh(one: StoryPhone) -> None:
    """The phone asks what there is that is new."""
    one.page.evaluate("dispatchEvent(new Event('online'))")


def later(one: StoryPhone, hours: float) -> None:
    """Work takes its time: what was said is sent, and hours pass."""
    one.sent()
    Clock.pass_(timedelta(hours=hours))


def tomorrow(one: StoryPhone) -> None:
    """What was said is sent, and the next morning comes."""
    one.sent()
    morning = datetime.combine(Clock.at.date() + timedelta(days=1), BEGINS.timetz())
    Clock.pass_(morning - Clock.at)


def number_of_part(one: StoryPhone, label: str, bags: float, **chosen: str) -> None:
    """So many bags for a part, done as planned, with what else is asked for."""
    one.show(one.of(label))
    one.number("bags", bags)
    one.page.locator("[name=run_empty]").check()
    for group, name in chosen.items():
        one.choose(group, name)
    one.save()


def take_core(one: StoryPhone, label: str, bay: int, grams: float) -> None:
    """A core of these grams; its hole is closed."""
    one.show(one.of(label, "/core"))
    one.number("mass_g", grams)
    one.choose("bay", str(bay))
    one.tap(one.page.locator("#feel button").first)
    closed = one.page.locator('#view form > button[value="closed"]').count()
    one.save("closed" if closed else "")


def depth(one: StoryPhone, label: str, millimetres: float) -> None:
    """A depth as it was found."""
    one.show(one.of(label, "/found"))
    one.number("depth", millimetres)
    one.save()


def correct(one: StoryPhone, label: str, text: str, right: float | None) -> None:
    """Put right, or take back, what is listed of a part."""
    one.show(one.of(label))
    one.page.locator(".recorded li", has_text=text).get_by_role("link").click()
    one.page.get_by_role("button", name="Typed wrong" if right else "Recorded twice").click()
    if right:
        one.number("right", right)
        one.save("right")
    else:
        with one.recorded():
            one.page.locator("#view form > button.stop").click()


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


def second_day(story: Story, one: StoryPhone, two: StoryPhone) -> None:
    """Another lot, a full bay, a hole left open, a link renewed, a page killed, and a part nobody planned."""
    gable = "WG-E"
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


def saved_file(one: StoryPhone) -> Any:
    """What waits on the phone, as the file that its page offers."""
    one.show("unsent")
    with one.page.expect_download() as saved:
        one.page.get_by_role("button", name="Save unsent").click()
    return json.loads(saved.value.path().read_text())


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


def day_s_end(one: StoryPhone, **said: float) -> None:
    """What was vacuumed up, and what else there is to say."""
    one.show(one.at("/day"))
    for name, value in {**said, "people": 2, "hours": 8}.items():
        one.number(name, value)
    one.save()


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
    assert_says_what_was_said_and_no_more(record, story, ledger(api, story.job))


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


def assert_says_what_was_said_and_no_more(record: Any, story: Story, entries: list[Any]) -> None:
    """The record, field by field, against the ledger and the story."""
    stand = standing(entries)
    labels = list(story.parts)
    assert record["outcome"] == {
        "parts": [{"cavity": label, "verdict": "conforming"} for label in labels],
        "concessions": [],
        "not_part": [],
    }
    assert (record["lots"], record["corrections"], record["doubtful_clocks"]) == (["L-1", "L-2"], 3, 0)
    assert record["supersedes"] == [story.superseded]
    bag_kg = mean_bag_kg(record)
    assert_agreed(record["supplements"], record["issued_at"])
    for label, part, holes, found in zip(
        labels, record["parts"], record["holes"], record["as_found"], strict=True
    ):
        said = [each for each in stand if each.get("cavity") == label]
        assert part["cavity"]["label"] == holes["cavity"] == found["cavity"] == label
        assert_filled(part["found"], filled(stand, label, bag_kg))
        assert_sampled(part["found"], said, found["depth_mm"], record["practice"])
        assert_holes(holes, said, part["planned"]["fill_plan"]["holes"], story.job["core_diameter_mm"])
        assert_found(found, said, part["cavity"])
        r_fill = found["depth_mm"] / 1000 / record["material"]["conductivity_w_mk"]
        assert found["r_fill"] == pytest.approx(r_fill)
    assert_answered(record["hold_points"], stand)
    assert_balanced(record, stand, bag_kg)
    assert_photographed(record["photos"], stand)


def standing(entries: list[Any]) -> list[Any]:
    """What stands of a ledger, corrections carried out: the data of each entry, under its id."""
    data = {each["id"]: {**each, **each["data"]} for each in entries}
    for each in entries:
        if each["kind"] == "correction":
            wrong, right = data.pop(each["data"]["entry"]), data.pop(each["id"]).get("replacement")
            if right:
                data[each["id"]] = {**wrong, **right, "id": each["id"]}
    return list(data.values())


def of(said: list[Any], *kinds: str) -> list[Any]:
    """The entries of these kinds."""
    return [each for each in said if each["kind"] in kinds]


def assert_agreed(supplements: list[Any], issued_at: str) -> None:
    """The one supplement, as the client accepted it, and nothing of what it cost or who accepted it."""
    (named,) = supplements
    assert named["accepted_at"] < issued_at
    assert named["number"].endswith("-S1")
    said = {"state": "accepted", "agreed": True, "parts": ["Niche"], "dropped": [], "taken_over": None}
    assert {name: named[name] for name in said} == said
    assert set(named) == {*said, "number", "accepted_at"}


def mean_bag_kg(record: Any) -> float:
    """A bag's label is a minimum: what it holds by the firm's own figure."""
    over = record["practice"]["uncertainties"]["weighing"]["bag_over_label_rel"]
    return float(record["material"]["bag_kg"] * (1 + over))


def emptied_kg(each: Any, bag_kg: float) -> float:
    """What an entry says was emptied."""
    return float(each["mass_kg"] if "mass_kg" in each else each["bags"] * bag_kg)


def filled(stand: list[Any], label: str, bag_kg: float) -> float:
    """What was emptied for a part, less its share of what was vacuumed up on each day, by the kilograms."""
    net_kg = 0.0
    for spill in of(stand, "reclaimed"):
        day = spill["happened_at"][:10]
        of_day = [each for each in of(stand, "tally", "fill") if each["happened_at"][:10] == day]
        all_kg = sum(emptied_kg(each, bag_kg) for each in of_day)
        part_kg = sum(emptied_kg(each, bag_kg) for each in of_day if each["cavity"] == label)
        net_kg += part_kg - spill["mass_kg"] * part_kg / all_kg
    return net_kg


def assert_filled(found: Any, mass_kg: float) -> None:
    """A part's mass is what was told, to the gram: the machine was run empty after each part."""
    assert found["mass_kg"] == pytest.approx(mass_kg, abs=0.001)
    assert sum(each["mass_kg"] for each in found["compartments"]) == pytest.approx(mass_kg, abs=0.001)


def assert_sampled(found: Any, said: list[Any], depth_mm: float, practice: Any) -> None:
    """The samples are the cores that were told, each with its density, its feel and its hand.

    A core counts until its bay is filled again, and what was too loose is not hidden.
    """
    core_m3 = pi / 4 * practice["sampling"]["core_diameter_mm"] ** 2 * depth_mm / 1e9
    again = {each["bay"]: each["happened_at"] for each in of(said, "fill") if each.get("bay")}
    told = {
        each["id"]: {
            **{name: each[name] for name in ("bay", "feel", "by", "happened_at")},
            "density_kg_m3": pytest.approx(each["mass_g"] / 1000 / core_m3),
            "superseded": each["happened_at"] < again.get(each["bay"], ""),
        }
        for each in of(said, "core")
    }
    samples = {each["entry"]: each for space in found["compartments"] for each in space["samples"]}
    assert {entry: {name: each[name] for name in told[entry]} for entry, each in samples.items()} == told


def patch(told: Any, *, stated: bool) -> dict[str, Any]:
    """A patch that an entry tells of, put on as it was planned: nobody said otherwise."""
    unsaid = dict.fromkeys(("width_mm", "height_mm", "tape"))
    said = {"by": told["by"], "happened_at": told["happened_at"], "stated": stated, "photos": []}
    return {**unsaid, **said, "wiped": True, "pressed_on": True}


def hole_of(core: Any, diameter_mm: float) -> dict[str, Any]:
    """The hole of a core, which closed it itself."""
    unsaid = dict.fromkeys(("number", "tag", "x_m", "height_m"))
    told = {name: core[name] for name in ("cavity", "bay", "by", "happened_at")}
    size = {"width_mm": diameter_mm, "height_mm": diameter_mm}
    made = {"entry": core["id"], "purpose": "sample", "photos": [], "patch": patch(core, stated=False)}
    return {**unsaid, **told, **size, **made}


def assert_holes(holes: Any, said: list[Any], planned: int, diameter_mm: float) -> None:
    """Holes are "as planned, stated by": none is claimed singly but those of cores, and none is open."""
    (tally,) = of(said, "tally")
    cores = of(said, "core")
    assert tally["holes"] == "as_planned"
    assert (holes["as_planned"], holes["stated_by"]) == (True, tally["by"])
    assert holes["stated_at"] == tally["happened_at"]
    assert (holes["planned"], holes["stated"], holes["made"]) == (planned, planned, planned)
    assert (holes["others"], holes["closed"], holes["open_added"]) == (len(cores), planned + len(cores), 0)
    unlike = ("added", "omitted", "open", "strays", "unaccounted", "contradicted", "unreached")
    assert [holes[name] for name in unlike] == [[]] * len(unlike)
    assert holes["patch"] == patch(tally, stated=True)
    apart = [{"number": each["number"], "patch": patch(each, stated=False)} for each in of(said, "patch")]
    assert holes["closed_apart"] == apart
    assert holes["singles"] == [hole_of(each, diameter_mm) for each in cores]


def assert_found(found: Any, said: list[Any], surveyed: Any) -> None:
    """A depth is the one that was measured, and a full bay stands apart."""
    (depth_mm,) = [each["depth_mm"] for each in of(said, "found") if each.get("depth_mm")]
    assert (found["depth_measured"], [found["depth_mm"]]) == (True, depth_mm)
    assert found["quoted_depth_mm"] == phone_days.depth_mm(surveyed)
    apart = [(each["bay"], each["state"]) for each in of(said, "found") if each.get("state")]
    assert [(each["bay"], each["state"]) for each in found["apart"]] == apart


def assert_answered(points: list[Any], stand: list[Any]) -> None:
    """Each point has the last answer that was given to it, its reading, who gave it and when."""
    told: dict[Any, list[Any]] = {}
    for each in of(stand, "check", "checks"):
        for point in each.get("points", [each]):
            said = (point["answer"], each.get("reading"), each["by"], each["happened_at"])
            told.setdefault((point["code"], each.get("cavity")), []).append(said)
    assert points
    for point in points:
        answers = told.get((point["code"], point["cavity"])) or told[point["code"], None]
        assert tuple(point[name] for name in ("answer", "reading", "by", "happened_at")) == answers[-1]
        assert (point["first_answered_at"], point["late"]) == (answers[0][-1], False)
        assert (point["remark"], point["photos"]) == (None, [])
    assert {point["answer"] for point in points} == {"clear"}
    assert [len(answers) for answers in told.values() if answers[0][0] == "stopped"] == [2]


def assert_balanced(record: Any, stand: list[Any], bag_kg: float) -> None:
    """Bags that came, were emptied and left, and what was vacuumed up, are those that were told."""
    came = sum(each.get("bags") or 0 for each in of(stand, "delivery"))
    left = sum(each.get("left_over") or 0 for each in of(stand, "delivery"))
    all_kg = sum(emptied_kg(each, bag_kg) for each in of(stand, "tally", "fill"))
    (stock,) = record["stock"]
    assert (stock["delivered_bags"], stock["left_over_bags"]) == (came, pytest.approx(left))
    assert (stock["emptied_kg"], stock["reconciled"]) == (pytest.approx(all_kg), True)
    assert (stock["delivered_kg"], stock["left_over_kg"]) == pytest.approx((came * bag_kg, left * bag_kg))
    assert (stock["returned_bags"], stock["returned_kg"], stock["blown_again_kg"]) == (0, 0, 0)
    where = {name: record["whereabouts"][name] for name in ("emptied_kg", "vacuumed_up_kg", "in_walls_kg")}
    assert where == pytest.approx({"emptied_kg": all_kg, "vacuumed_up_kg": 9, "in_walls_kg": all_kg - 9})
    assert (record["whereabouts"]["taken_out_kg"], record["air_tests"]) == (0, [])
    assert record["whereabouts"]["in_machine_kg"] == pytest.approx(0, abs=1e-6)


def assert_photographed(photos: list[Any], stand: list[Any]) -> None:
    """The label's photo by its entry, and the one with words of its own, each of when it was taken."""
    (label,) = [photo for each in of(stand, "delivery") for photo in each.get("photos", [])]
    of_entry, with_words = photos
    names = ("cavity", "caption", "taken_at", "width_px", "place_sha256")
    assert of_entry["id"] == label
    assert [of_entry[name] for name in names] == [None, None, "2026-11-26T08:00:00Z", 800, None]
    (patch,) = of(stand, "patch")
    assert [with_words[name] for name in names] == ["WG-E", "Hole 3, closed", patch["happened_at"], 800, None]
