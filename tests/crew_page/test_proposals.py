"""What nobody planned is proposed on the crew's page: without a price or a network; and what became of it."""

from typing import Any
from uuid import UUID

from playwright.sync_api import expect

from tests.api import Api
from tests.phones import Phone, ledger


def proposed(api: Api, job: Any) -> list[Any]:
    """A job's supplements, as the office reads them."""
    items: list[Any] = api.send("GET", f"/v1/jobs/{job['id']}/supplements").json["items"]
    return items


def same(one: Phone) -> None:
    """Touch that the height and the depths are the pattern's."""
    one.tap('.number:has([id="height"]) .same')
    one.tap('#depths > .same, .number:has([id="depth-1"]) .same >> nth=0')


def a_piece_more(one: Phone, label: str, name: str, width_m: float) -> None:
    """A piece of this width more of a part, from the part's own page."""
    one.follow(one.of(label, "/otherwise"))
    one.choose("what", "One more, or a piece more")
    one.write("#name", name)
    one.number("width", width_m)
    same(one)
    one.choose("openings", "none")
    one.save()


def test_a_part_that_nobody_planned_is_proposed_and_begun_without_a_network(english: Phone, api: Api) -> None:
    wall = english.job["cavities"][0]
    english.page.wait_for_function("navigator.serviceWorker.controller !== null")
    english.context.set_offline(True)
    english.follow(english.of(wall["label"]))
    english.costs()
    a_piece_more(english, wall["label"], "Niche", 0.625)
    assert english.costs() == (2, 8)
    english.follow(english.of("Niche"))
    expect(english.page.get_by_text("Its plan comes once there is a network", exact=False)).to_be_visible()
    english.follow(english.of("Niche", "/fill"))
    english.number("bags", 2)
    english.save()
    english.pass_time()
    assert proposed(api, english.job) == []
    english.context.set_offline(False)
    english.page.evaluate("dispatchEvent(new Event('online'))")
    english.sent()
    (said,) = proposed(api, english.job)
    assert (said["by"], said["state"], said["parts"]) == ("Alex", "proposed", ["Niche"])
    assert UUID(said["id"]).version == 7
    (line,) = said["cavities"]
    assert line["depth_mm"] == sum(layer["depth_mm"] for layer in wall["layers"])
    assert line["net_area_m2"] < 0.625 * wall["span_m"] + 0.001
    assert [entry["data"]["cavity"] for entry in ledger(api, english.job)] == ["Niche"]
    # With its plan it is a part like any other, and says that nobody has accepted it yet.
    english.show(english.of("Niche"))
    expect(english.page.get_by_text("not certified before the client accepts it")).to_be_visible()
    expect(english.page.locator(".elevation .hole").first).to_be_visible()
    expect(english.page.locator("main")).not_to_contain_text("EUR")


def test_what_is_not_there_and_what_else_came_up_is_proposed_and_its_answer_shown(
    english: Phone, api: Api
) -> None:
    wall = english.job["cavities"][0]["label"]
    # What was found there is said: it is why the part is left out, and no reason to keep it.
    english.show(english.of(wall, "/found"))
    english.choose("bay", "1")
    english.choose("state", "full")
    english.tap(english.page.locator("#view form").nth(1).locator("> button.main"))
    english.show(english.of(wall, "/otherwise"))
    english.choose("what", "It is not there")
    english.write("#why", "Already insulated")
    english.save()
    english.show(english.at("/supplements"))
    english.write("#else_text", "Skip for rubble")
    english.number("quantity", 1)
    english.write("#else_unit", "piece")
    english.save()
    english.sent()
    gone, other = proposed(api, english.job)
    assert (gone["dropped"], gone["remark"]) == ([wall], "Already insulated")
    assert [each["text"] for each in other["lines"]] == ["Skip for rubble"]
    path = f"/v1/jobs/{english.job['id']}/supplements/{gone['id']}"
    for step, said in (("offer", {}), ("refusal", {"reason": "It is there behind the boards"})):
        assert api.send("POST", f"{path}/{step}", said).status_code == 200
    english.page.evaluate("dispatchEvent(new Event('online'))")
    expect(english.page.get_by_text("It is there behind the boards")).to_be_visible()
    expect(english.page.get_by_text("The client does not want it", exact=False)).to_be_visible()
    # What nobody has offered yet is taken back where it was proposed.
    english.page.get_by_role("button", name="Take the proposal back").click()
    english.sent()
    assert [each["state"] for each in proposed(api, english.job)] == ["refused", "withdrawn"]


def test_a_proposal_that_waits_is_in_the_phone_s_file(english: Phone) -> None:
    wall = english.job["cavities"][0]["label"]
    english.show(english.of(wall, "/otherwise"))
    english.choose("what", "It is not there")
    english.save()
    kept = english.page.evaluate(
        "async () => JSON.parse(await (await (await import('./outbox.js')).asFile()).text())"
    )
    ((proposal,),) = kept["supplements"].values()
    assert (kept["jobs"], proposal["counts"]) == ({}, [{"cavity": wall, "count": 0}])
    english.page.get_by_role("button", name="Undo").click()
    expect(english.page.get_by_text("Undone")).to_be_visible()
