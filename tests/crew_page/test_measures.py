"""What the crew's page reckons and scales by itself, held against the service and the definition."""

from math import pi
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.api import Api, small_building
from tests.phones import Phone, assign, ledger, today


def test_a_photo_is_scaled_down_on_the_phone_and_named_by_its_entry(
    english: Phone, api: Api, tmp_path: Any
) -> None:
    large = tmp_path / "large.jpg"
    Image.new("RGB", (4000, 3000), (120, 90, 60)).save(large)
    english.show(english.at("/note"))
    english.page.locator("input[type=file]").set_input_files(large)
    expect(english.page.get_by_text("(1 kept)")).to_be_visible()
    english.write("#remark", "A torn membrane")
    english.save()
    english.sent()
    (entry,) = ledger(api, english.job)
    (kept,) = api.send("GET", f"/v1/jobs/{english.job['id']}/photos").json["photos"]
    assert entry["data"]["photos"] == [kept["id"]]
    assert (kept["width_px"], kept["height_px"]) == (1600, 1200)


def test_a_photo_of_a_part_and_of_no_entry_says_what_it_shows(
    english: Phone, api: Api, tmp_path: Any
) -> None:
    label = english.job["cavities"][0]["label"]
    picture = tmp_path / "wall.jpg"
    Image.new("RGB", (400, 300), (90, 120, 60)).save(picture)
    english.show(english.at(f"/photo/{label}"))
    english.page.locator("#picture").set_input_files(picture)
    english.save()
    expect(english.page.get_by_text("Something is missing here.")).to_be_visible()
    english.write("#caption", "The patches, seen from inside")
    english.save()
    # Back at the part: the picture was scaled down and is kept.
    expect(english.page.get_by_role("heading", name=label, exact=True)).to_be_visible()
    english.sent()
    photos = api.send("GET", f"/v1/jobs/{english.job['id']}/photos").json["photos"]
    (kept,) = [each for each in photos if each["caption"]]
    assert (kept["cavity"], kept["caption"]) == (label, "The patches, seen from inside")


def test_the_page_reckons_a_core_as_the_service_does(english: Phone, api: Api) -> None:
    """The page's little arithmetic, held against the engine's finding of the same core."""
    wall = english.job["cavities"][0]
    english.show(english.of(wall["label"], "/found"))
    english.number("depth", 358)
    english.save()
    for bay, grams in ((4, 171.0), (9, 140.0), (13, 220.0)):
        english.show(english.of(wall["label"], "/core"))
        english.number("mass_g", grams)
        expect(english.page.locator(".result strong")).to_be_visible()
        english.choose("bay", str(bay))
        english.page.locator("#feel button").first.click()
        english.save()
    english.sent()
    found = api.send("GET", f"/v1/jobs/{english.job['id']}/assessment").json
    engine = [sample for space in found["cavities"][0]["compartments"] for sample in space["samples"]]
    tool = english.job["core_diameter_mm"]
    for sample, grams in zip(engine, (171.0, 140.0, 220.0), strict=True):
        reckoned = english.page.evaluate(
            "async ([g, d, l]) => (await import('./plan.js')).coreDensity(g, d, l)", [grams, tool, 358]
        )
        assert reckoned == pytest.approx(sample["density_kg_m3"], rel=1e-5)
        assert reckoned == pytest.approx(grams / 1000 / (pi / 4 * (tool / 1000) ** 2 * 0.358), rel=1e-12)
        window = {"lowest": 55, "target": 61, "highest": 70}
        place = english.page.evaluate(
            "async ([d, w]) => (await import('./plan.js')).place(d, w)", [reckoned, window]
        )
        assert (place == "inside") == (sample["verdict"] == "conforming")


def test_a_depth_is_of_a_layer_where_no_open_one_takes_up_a_difference(
    in_hand: tuple[Phone, Any], api: Api
) -> None:
    """Rafters and timbers across them: a total depth is refused, and the page asks of which it is."""
    one, crew = in_hand
    wall = small_building()["cavities"][0]
    one.job = api.job(small_building(cavities=[{**wall, "layers": [wall["layers"][0], wall["layers"][2]]}]))
    assign(api, one.job, crew, today())
    one.context.set_offline(False)
    one.show("")
    one.page.evaluate("dispatchEvent(new Event('online'))")
    one.follow(one.at())
    one.show(one.of(wall["label"], "/found"))
    one.number("depth", 97)
    one.save()
    expect(one.page.get_by_text("Something is missing here.")).to_be_visible()
    one.choose("layer", "2: 95 mm")
    one.save()
    one.sent()
    (said,) = ledger(api, one.job)
    assert (said["data"]["layer"], said["data"]["depth_mm"]) == (2, [97])
