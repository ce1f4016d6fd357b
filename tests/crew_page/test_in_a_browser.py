"""The crew's page in a real browser at a phone's size: what it costs to say, and how it can be used."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from playwright.sync_api import Browser, expect

from tests import phone_days
from tests.api import Api, small_building
from tests.axe import examined
from tests.long import LONG
from tests.phones import SIZE, Phone, crew_of, ledger, phone, today, twelve_parts

MOST_VALUES, MOST_TAPS = 45, 110
GLOVE_PX = 48


def working(api: Api, job: Any) -> list[Any]:
    return api.send("GET", f"/v1/jobs/{job['id']}/working").json["takeoff"]["cavities"]


def test_a_house_of_twelve_parts_is_told_in_few_values_and_taps_and_certified(
    api: Api, browser: Browser, port: int
) -> None:
    job = api.job(twelve_parts())
    parts = list(zip(job["cavities"], working(api, job), strict=True))
    crew = crew_of(api, job, "Crew of twelve", today())
    with phone(browser, port, job) as one:
        one.start(crew)
        phone_days.sign(one, "before")
        moisture = phone_days.answer(one)
        phone_days.deliver(one)
        emptied = 0.0
        for surveyed, planned in parts:
            one.follow(one.of(planned["label"]))
            phone_days.measure(one, surveyed)
            before = one.taps
            emptied += phone_days.finish(one, planned)
            # It was opened with one tap: this is the second one.
            assert one.taps - before == 1
        others = one.costs()
        one.follow(one.of(parts[0][1]["label"]))
        for place, (surveyed, planned) in enumerate(parts, start=1):
            for bay in planned["fill_plan"]["proof"]["sampled_bays"]:
                phone_days.core(one, planned, surveyed, bay)
            one.follow(one.of(parts[place][1]["label"]) if place < len(parts) else one.at())
        cores = one.costs()
        phone_days.sign(one, "after")
        phone_days.end(one, emptied)
        last = one.costs()
        one.sent()
        one.follow(one.at("/ready"))
        expect(one.page.get_by_text("Nothing stands in the way.")).to_be_visible()
    taken = sum(len(planned["fill_plan"]["proof"]["sampled_bays"]) for _, planned in parts)
    assert moisture == (len(parts), 2 * len(parts))
    values = others[0] + cores[0] + last[0] - moisture[0] - taken
    taps = others[1] + cores[1] + last[1] - moisture[1] - 4 * taken
    assert (values <= MOST_VALUES, taps <= MOST_TAPS) == (True, True), (values, taps)
    issued = api.issue(job)
    assert issued.status_code == 201, issued.text
    assert len(ledger(api, job)) < 100


@pytest.fixture(scope="module")
def job(app: Flask) -> Any:
    """A deep shared wall and an open attic."""
    return Api(app).job(small_building())


@pytest.fixture(scope="module")
def crew(app: Flask, job: Any) -> Any:
    return crew_of(Api(app), job, "Crew at hand", today())


@pytest.fixture(scope="module", params=["en", "de"] if LONG else ["de"])
def one(request: pytest.FixtureRequest, browser: Browser, port: int, job: Any, crew: Any) -> Iterator[Phone]:
    """A phone at the job, in each language; in the short form in the one with the longer words."""
    with phone(browser, port, job, request.param) as made:
        made.start(crew)
        yield made


def views(one: Phone) -> list[str]:
    wall, attic = (each["label"] for each in one.job["cavities"])
    of_wall = [
        one.of(wall, more)
        for more in ("", "/core", "/differs", "/found", "/fill", "/out", "/hole", "/otherwise")
    ]
    of_job = [
        one.at(more)
        for more in (
            "",
            "/bags",
            "/checks/before",
            "/day",
            "/delivery",
            "/ledger",
            "/note",
            "/ready",
            "/supplements",
        )
    ]
    return ["", "who", "unsent", *of_job, *of_wall, one.of(attic), one.of(attic, "/depths")]


def test_axe_finds_no_violation_and_everything_can_be_hit_with_gloves(one: Phone) -> None:
    """axe-core with all of its rules, contrast at AAA among them; nothing scrolls sideways."""
    one.show(one.at("/note"))
    one.write("#remark", "Looked round")
    one.save()
    one.show(one.at("/ledger"))
    correct = one.page.locator(".recorded a").first.get_attribute("href")
    assert correct is not None
    for path in [*views(one), correct.removeprefix("#/")]:
        one.show(path)
        one.page.wait_for_function("path => location.hash === '#/' + path", arg=path)
        expect(one.page.locator("h1")).to_be_visible()
        found = examined(one.page)
        assert any(rule["id"] == "color-contrast-enhanced" for rule in found.response["passes"]), path
        assert found.response["violations"] == [], f"{path}: {found.generate_report()}"
        assert one.page.evaluate("document.documentElement.scrollWidth") == SIZE["width"], path
        assert small_targets(one) == [], path
    one.sent()


def small_targets(one: Phone) -> list[str]:
    """What can be touched and is lower than a glove needs; a tick's label is what is touched."""
    found: list[str] = one.page.evaluate(
        """least => [...document.querySelectorAll('a, button, input, select, textarea, summary, label.tick')]
            .filter(each => !each.closest('.tick') || each.matches('.tick'))
            .filter(each => !each.matches('.file'))
            .filter(each => each.checkVisibility({visibilityProperty: true}))
            .filter(each => each.getBoundingClientRect().height < least - 0.5)
            .map(each => each.outerHTML.slice(0, 80))""",
        GLOVE_PX,
    )
    return found


@pytest.mark.parametrize("one", ["en", "de"], indirect=True)
def test_it_speaks_the_phone_s_language(one: Phone) -> None:
    language = one.page.evaluate("navigator.language")
    assert one.page.evaluate("document.documentElement.lang") == language
    one.show(one.at("/checks/before"))
    first = one.job["takeoff"]["hold_points"][0]["text"][language]
    expect(one.page.get_by_text(first)).to_be_visible()
    one.show(one.at("/ready"))
    said = {"en": "No fill is on record", "de": "keine Füllung"}[language]
    expect(one.page.get_by_text(said).first).to_be_visible()


def test_nothing_that_is_measured_is_filled_in_beforehand(one: Phone) -> None:
    for path in views(one):
        if path == "who":
            continue
        one.show(path)
        one.page.wait_for_function("path => location.hash === '#/' + path", arg=path)
        filled = one.page.evaluate(
            "[...document.querySelectorAll('#view input:not([type=checkbox]), #view textarea')]"
            ".map(each => each.value).filter(Boolean)"
        )
        assert filled == [], path
        assert one.page.locator('#view [aria-pressed="true"], #view input:checked').count() == 0, path


def test_a_form_without_what_it_needs_sends_nothing_and_says_so(one: Phone) -> None:
    wall = one.job["cavities"][0]["label"]
    for path in (one.of(wall), one.of(wall, "/core"), one.of(wall, "/fill"), one.at("/delivery")):
        one.show(path)
        one.page.wait_for_function("path => location.hash === '#/' + path", arg=path)
        one.save()
        expect(one.page.locator("#missing").first).not_to_be_empty()
    expect(one.page.locator("header .waits:not(.some)")).to_be_visible()


SLOW = """() => new Promise((begun) => {
  const request = indexedDB.open("baywright-crew");
  window.busy = true;
  request.onsuccess = () => {
    const batches = request.result.transaction("batches", "readwrite").objectStore("batches");
    const again = () => { if (window.busy) batches.count().onsuccess = again; else request.result.close(); };
    again();
    begun();
  };
})"""
"""What the phone keeps takes its time, until it is not `busy` any more."""


def test_what_is_typed_while_the_entry_before_is_being_kept_stays(english: Phone) -> None:
    wall = english.job["cavities"][0]["label"]
    english.show(english.of(wall, "/found"))
    english.number("depth", 160)
    english.page.evaluate(SLOW)
    english.save()
    english.number("bags", 12)
    english.page.evaluate("window.busy = false")
    undo = english.page.get_by_role("button", name="Undo")
    undo.wait_for()
    assert english.page.locator("#bags").input_value() == "12"
    undo.click()
    expect(english.page.get_by_text("Undone")).to_be_visible()
    english.pass_time()


def test_an_act_is_undone_until_it_is_sent_and_corrected_after(english: Phone, api: Api) -> None:
    wall = english.job["cavities"][0]["label"]
    english.show(english.of(wall))
    english.number("bags", 41)
    english.save()
    english.page.get_by_role("button", name="Undo").click()
    expect(english.page.get_by_text("Undone")).to_be_visible()
    english.pass_time()
    english.show(english.of(wall))
    english.number("bags", 14)
    english.save()
    english.sent()
    assert [entry["data"]["bags"] for entry in ledger(api, english.job)] == [14]
    english.show(english.of(wall))
    english.page.locator(".recorded a").click()
    english.page.get_by_role("button", name="Typed wrong").click()
    english.number("right", 41)
    english.save("right")
    expect(english.page.locator(".recorded li")).to_contain_text("41 bags")
    english.sent()
    wrong, correction = ledger(api, english.job)
    assert (wrong["corrected_by"], correction["data"]["reason"]) == (correction["id"], "Typed wrong")
    assert correction["data"]["replacement"]["bags"] == 41
    found = api.send("GET", f"/v1/jobs/{english.job['id']}/assessment").json
    assert next(each for each in found["cavities"] if each["label"] == wall)["bags"] == 41


def test_what_stands_in_the_way_is_told_in_the_crew_s_words_and_mended_by_its_tap(
    english: Phone, api: Api
) -> None:
    """A point without its reading, one written down too late, an evening without a word of spill."""
    wall = english.job["cavities"][0]["label"]
    filled = datetime.now(UTC) - timedelta(days=1)
    flues = {"code": "flues_and_chimneys", "answer": "clear"}
    for minute, kind, said in (
        (0, "fill", {"cavity": wall, "bags": 3}),
        (1, "check", {"code": "timber_moisture", "answer": "dealt_with"}),
        (2, "check", flues),
    ):
        at = (filled + timedelta(minutes=minute)).isoformat()
        entry = {"kind": kind, "id": str(uuid4()), "happened_at": at, "by": "Bo", **said}
        assert api.record(english.job, [entry]).status_code == 201
    page = english.page
    english.show(english.at("/ready"))
    page.locator("button.main").click()
    moisture = page.locator(".conditions li").filter(has_text="without its reading in %")
    expect(moisture).to_contain_text("“Timber that the fill will enclose reads at most 20 % …”")
    late = page.locator(".conditions li").filter(has_text="was answered at")
    expect(late.get_by_role("link")).to_have_attribute("href", f"#/{english.at('/ledger')}")
    after = page.locator(".conditions li").filter(has_text="due after filling").first
    expect(after.get_by_role("link")).to_have_attribute("href", f"#/{english.at('/checks/after')}")
    moisture.get_by_role("link").click()
    english.number("reading-timber_moisture-" + wall, 14)
    page.locator(f".point:has(#reading-timber_moisture-{wall}) .answers button").first.click()

    english.show(english.at("/ledger"))
    page.locator(".recorded li").filter(has_text="The distance of every flue").get_by_role("link").click()
    page.get_by_role("button", name="Typed wrong").click()
    page.fill("#when", (filled - timedelta(hours=1)).strftime("%Y-%m-%dT%H:%M"))
    english.save("right")

    english.show(english.at("/delivery"))
    english.number("delivered", 60)
    english.save()
    english.show(english.at("/ledger"))
    page.locator(".recorded li").filter(has_text="60 bags").get_by_role("link").click()
    page.get_by_role("button", name="Typed wrong").click()
    page.fill("#lot", "L-7")
    english.save("right")

    english.show(english.at("/day"))
    english.number("spill", 2)
    english.save()
    expect(page.locator("#missing")).to_be_visible()
    english.choose("spill_day", filled.date().isoformat())
    english.save()
    english.sent()
    unmet = api.send("GET", f"/v1/jobs/{english.job['id']}/assessment").json["unmet"]
    left = {(each["code"], each["subject"]) for each in unmet}
    assert not left & {("reading_missing", "timber_moisture"), ("hold_point_late", "flues_and_chimneys")}
    assert not {"spill_missing", "lot_missing"} & {code for code, _ in left}
    came = [each["data"] for each in ledger(api, english.job) if each["kind"] == "correction"][-1]
    assert (came["replacement"]["lot"], came["replacement"]["bags"]) == ("L-7", 60)


def test_what_differs_is_said_by_touching_it(english: Phone, api: Api) -> None:
    wall = english.job["cavities"][0]["label"]
    english.show(english.of(wall, "/differs"))
    made, closed = english.page.locator("section:has(.drawing)").all()
    made.locator('[data-hole="2"]').click()
    closed.locator('[data-hole="3"]').focus()
    english.page.keyboard.press("Space")
    english.page.locator("#added").get_by_role("button", name="5", exact=True).click()
    english.number("bags", 40)
    english.page.locator("[name=run_empty]").check()
    english.save()
    english.sent()
    (entry,) = ledger(api, english.job)
    said = {name: entry["data"][name] for name in ("holes", "patched", "run_empty")}
    assert said["holes"]["omitted"] == [2]
    assert [each["bay"] for each in said["holes"]["added"]] == [5]
    assert said["patched"] == {"all_but": [3]}
    assert said["run_empty"]


def test_an_open_attic_is_told_by_its_depths_and_markers(english: Phone, api: Api) -> None:
    attic = english.job["cavities"][1]["label"]
    english.show(english.of(attic, "/depths"))
    for depth in (410, 420, 415):
        english.number("thickness", depth)
        english.page.get_by_role("button", name="Add").click()
    english.number("markers", 12)
    english.save()
    english.number("bags", 90)
    english.save()
    english.sent()
    depths, tally = ledger(api, english.job)
    assert (depths["data"]["depths_mm"], depths["data"]["markers"]) == ([410, 420, 415], 12)
    assert (tally["kind"], tally["data"]["bags"]) == ("tally", 90)


def test_another_material_that_came_and_a_wrong_lot_are_said_by_their_names(english: Phone, api: Api) -> None:
    wall = english.job["cavities"][0]["label"]
    for other in ("", "Another brand"):
        english.show(english.at("/delivery"))
        english.number("delivered", 5)
        english.write("#lot", f"L{other[:1]}")
        if other:
            english.page.locator("summary").first.click()
            english.write("#other", other)
        english.save()
        if not other:
            # One lot came: it is told, and said.
            english.show(english.of(wall, "/fill"))
            expect(english.page.get_by_text("Of lot L.")).to_be_visible()
            english.number("bags", 2)
            english.save()
    english.show(english.of(wall))
    english.page.locator(".recorded a").click()
    english.page.get_by_role("button", name="Typed wrong").click()
    english.choose("lot", "LA")
    english.save("right")
    english.sent()
    first, fill, second, correction = ledger(api, english.job)
    code = english.job["material"]["code"]
    assert [each["data"]["material"] for each in (first, second)] == [code, "Another brand"]
    assert (fill["data"]["lot"], correction["data"]["replacement"]["lot"]) == ("L", "LA")
    unmet = api.send("GET", f"/v1/jobs/{english.job['id']}/assessment").json["unmet"]
    assert "material_not_offered" in {each["code"] for each in unmet}


def test_what_a_remedy_asks_for_can_be_said(english: Phone, api: Api) -> None:
    """Taken out, blown from spill, a duct that was sealed, bags weighed, where spill fell, of another job."""
    one = english
    wall, attic = (each["label"] for each in one.job["cavities"])
    one.show(one.at("/delivery"))
    one.page.get_by_text("It comes from another job").click()
    one.write("#from_job", "JOB-7")
    one.number("came_kg", 30)
    one.save()
    one.show(one.at("/bags"))
    one.number("bag_kg", 12.4)
    one.page.get_by_role("button", name="Add").click()
    one.number("bag_kg", 12.6)
    one.save()
    one.show(one.of(wall, "/fill"))
    one.page.locator("[name=from_spill]").check()
    one.save()
    expect(one.page.locator("#missing")).not_to_be_empty()
    one.number("mass_kg", 20)
    one.save()
    one.follow(one.of(wall, "/out"))
    one.number("removed_kg", 2.5)
    one.choose("bay", "4")
    one.save()
    one.follow(one.of(wall, "/hole"))
    one.choose("purpose", "pipe, cable, duct")
    one.write("#tag", "Duct")
    for side in ("width_mm", "height_mm"):
        one.number(side, 110)
    one.save("open")
    expect(one.page.get_by_text("Still open: Duct")).to_be_visible()
    one.page.get_by_role("button", name="They are closed now").click()
    expect(one.page.get_by_text("Still open: Duct")).to_be_hidden()
    one.show(one.of(attic))
    one.number("bags", 9)
    one.save()
    one.show(one.at("/day"))
    one.number("spill", 4)
    one.page.get_by_text("Where it fell, if known").click()
    one.page.get_by_role("button", name=wall, exact=True).click()
    one.save()
    one.sent()
    said = [each["data"] for each in ledger(api, one.job)]
    came, bags, fill, out, hole, patch, _, swept = said
    assert (came["from_job"], came["mass_kg"], bags["masses_kg"]) == ("JOB-7", 30, [12.4, 12.6])
    assert (fill["from_spill"], fill["mass_kg"]) == (True, 20)
    assert (out["removed_kg"], out["mass_kg"], out["bay"]) == (2.5, 0, 4)
    assert (hole["purpose"], hole["tag"], hole["width_mm"], patch["tag"]) == ("service", "Duct", 110, "Duct")
    assert (swept["mass_kg"], swept["cavities"]) == (4, [wall])
    found = api.send("GET", f"/v1/jobs/{one.job['id']}/assessment").json
    assert found["whereabouts"]["taken_out_kg"] == 2.5
    assert "patch_missing" not in {each["code"] for each in found["unmet"]}


def test_a_point_that_was_answered_without_its_reading_is_asked_again(english: Phone, api: Api) -> None:
    """On the page of its stage, to which what the service sees leads."""
    one = english
    point = next(each for each in one.job["takeoff"]["hold_points"] if each.get("reading"))
    said = {"kind": "check", "id": str(uuid4()), "happened_at": "2026-11-25T08:00:00Z", "by": "Office"}
    said |= {"code": point["code"], "cavity": point["cavity"], "answer": "dealt_with"}
    assert api.record(one.job, [said]).status_code == 201
    one.page.evaluate("dispatchEvent(new Event('online'))")
    one.show(one.at("/ready"))
    one.page.get_by_text("was answered without").first.wait_for()
    one.show(one.at(f"/checks/{point['stage']}"))
    asked = one.page.locator(f"section.point:has([id='reading-{point['code']}-{point['cavity'] or ''}'])")
    asked.get_by_role("button", name="Dealt with").click()
    expect(asked.locator("[role=status]")).not_to_be_empty()


def test_a_part_that_a_supplement_brings_is_filled_like_any_other(english: Phone, api: Api) -> None:
    found = {**small_building()["cavities"][0], "label": "Found"}
    said = {"id": str(uuid4()), "by": "The office", "cavities": [found]}
    path = f"/v1/jobs/{english.job['id']}/supplements"
    assert api.send("POST", path, said, Idempotency_Key=said["id"]).status_code == 201
    english.page.evaluate("dispatchEvent(new Event('online'))")
    english.follow(english.of("Found"))
    english.number("bags", 40)
    english.save()
    english.sent()
    assert [entry["data"]["cavity"] for entry in ledger(api, english.job)] == ["Found"]
