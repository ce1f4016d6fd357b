"""The crew's sheet, read back."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from service.documents.papers import crew_sheet
from service.engine.ground.vocabulary import Market
from tests import builders
from tests.service.documents import facts, hostile
from tests.service.documents.reading import Elements, beyond_the_margins, squeezed, text_of


def head_of(cavity: builders.Cavity) -> str:
    """How a part's own figures begin: its label and then its element."""
    element = cavity.element.value.replace("_", "").capitalize()
    place = f"{squeezed(cavity.place)};" if cavity.place else ""
    return squeezed(cavity.label) + place + element


def has_head(text: str, cavity: builders.Cavity) -> bool:
    return head_of(cavity) in text


def seen(*parts: builders.Cavity, market: Market = Market.EU) -> str:
    return Elements(crew_sheet.html(facts.crew_sheet(parts, market))).text


def test_the_first_page_stops_the_crew(crew_sheet_pdf: bytes) -> None:
    first = " ".join(PdfReader(BytesIO(crew_sheet_pdf)).pages[0].extract_text().split())
    planned = facts.crew_sheet()["takeoff"]
    for fact in ("J-2026-0005", "7 Placeholder Lane", "Stop: answer these before filling", "call the office"):
        assert fact in first
    assert f"{planned['bags']}" in first
    assert "In each box: ✓ clear" in first


def test_every_hold_point_has_its_box_and_every_text_stands_once() -> None:
    html = crew_sheet.html(facts.crew_sheet())
    points = facts.crew_sheet()["takeoff"]["hold_points"]
    boxes = [attributes for attributes in Elements(html).named("span") if attributes.get("class") == "tick"]
    assert len(boxes) == len(points) + len(facts.cavities())
    assert all(Elements(html).text.count(point["text"]["en"]) == 1 for point in points)


def test_what_concerns_the_whole_job_is_asked_first() -> None:
    text = seen(*facts.cavities())
    points = [p for p in facts.crew_sheet()["takeoff"]["hold_points"] if p["stage"] == "before"]
    places = {bool(point["cavity"]): text.index(point["text"]["en"]) for point in reversed(points)}
    last_of_all = max(text.index(point["text"]["en"]) for point in points if not point["cavity"])
    assert last_of_all < places[True]


def test_figures_and_blanks_of_a_part_are_on_one_page(crew_sheet_pdf: bytes) -> None:
    pages = [squeezed(page.extract_text()) for page in PdfReader(BytesIO(crew_sheet_pdf)).pages]
    for cavity in facts.cavities():
        (page,) = (text for text in pages if has_head(text, cavity))
        head = page.index(head_of(cavity))
        assert "Bagsemptied" in page[head:]
    assert len(pages) <= 8


def test_each_part_has_its_targets_and_its_tool(crew_sheet_pdf: bytes) -> None:
    text = text_of(crew_sheet_pdf)
    # W1 south: 7.69 m3 at 55 kg/m3, its sheet's target in bags of 12.5 kg (tests/builders.py).
    for fact in ("422.8", "33.8", "50.0 55.0 70.0 kg/m³", "Lance: L18.", "65 × 200 mm"):
        assert fact in text


def test_a_part_says_where_in_the_building_it_is() -> None:
    floor = builders.floor(label="F1", place="over the cellar")
    assert seen(floor).count("over the cellar") == 2
    assert "None" not in seen(builders.floor())


def test_a_long_part_is_drawn_as_wide_as_the_page_and_another_beside_its_figures() -> None:
    for width_m, drawn_mm in ((4.0, crew_sheet.BESIDE_MM), (25.0, crew_sheet.ALONE_MM)):
        (cavity,) = facts.crew_sheet((builders.wall(width_m=width_m),))["cavities"]
        assert crew_sheet._drawn_mm(cavity) == drawn_mm


def test_how_the_machine_is_set_stands_once_for_all_parts_of_a_way() -> None:
    two = (builders.wall(), builders.wall(label="W2"))
    sheet = facts.crew_sheet(two)
    settings = {"en": "Air full, feed one half"}
    for each in sheet["takeoff"]["cavities"]:
        each["fill_plan"]["settings"] = settings
    text = Elements(crew_sheet.html(sheet)).text
    assert "W1, W2: Machine: Air full, feed one half." in " ".join(text.split())
    assert text.count("Air full") == 1


def test_a_part_that_is_there_twice_is_told_for_each() -> None:
    once, twice = seen(builders.stud_wall()), seen(builders.stud_wall(count=2))
    assert "2 alike, figures for each" in twice
    one = facts.crew_sheet((builders.stud_wall(),))["takeoff"]["cavities"][0]["mass_kg"]
    assert f" {one:.1f} kg" in once
    assert f" {one:.1f} kg" in twice


def test_single_bays_have_their_load_and_shared_ones_have_none() -> None:
    single = facts.crew_sheet((builders.stud_wall(),))["takeoff"]["cavities"][0]
    assert f"Bay: target, kg 1 : {single['loads'][0]['mass_kg']:.1f} 2 : " in seen(builders.stud_wall())
    assert "Bay: target" not in seen(builders.wall())


def test_a_bays_pounds_as_they_are_printed_lie_within_its_window() -> None:
    """Over and under a window a bay takes a pound or three: in whole ones it was told a wrong density."""
    window = builders.opening(left_m=2.0, sill_m=0.9)
    wall = builders.stud_wall(openings=(window,))
    text, planned = seen(wall, market=Market.US), facts.crew_sheet((wall,), Market.US)["takeoff"]
    (cavity,) = planned["cavities"]
    density = cavity["density"]
    printed = re.findall(r"(\d+(?:\.\d)?) : (\d+\.\d) ", text[text.index("Bay: target, lb") :])
    tally = crew_sheet._tally(cavity["loads"])
    assert [name for name, _ in printed] == [each["name"] for each in tally]
    assert min(each["mass_kg"] for each in tally) < 2
    for (_, pounds), each in zip(printed, tally, strict=True):
        kg_m3 = density["target_kg_m3"]["value"] * float(pounds) * 0.45359237 / each["mass_kg"]
        assert density["lowest_kg_m3"]["value"] <= kg_m3 <= density["highest_kg_m3"]["value"]


def test_closed_bays_have_no_share_where_an_opening_has_no_place() -> None:
    text = seen(builders.stud_wall(openings=(builders.opening(),)))
    assert "The openings have no place: only the total of these bays can be held" in text
    assert "Bay: target" not in text
    assert "◆ Sample in bay 5 10" in text
    spilling = seen(builders.wall(openings=(builders.opening(),)))
    assert "only the total of these bays" not in spilling


def test_loads_of_single_bays_add_up_to_the_target() -> None:
    planned = facts.crew_sheet((builders.stud_wall(),))["takeoff"]["cavities"][0]
    tally = crew_sheet._tally(planned["loads"])
    assert sum(row["mass_kg"] for row in tally) == pytest.approx(planned["mass_kg"])


def test_each_sentence_of_the_sequence_stands_once_with_its_parts_or_bays() -> None:
    text = seen(builders.wall())
    assert text.count("Run the lance") == 1
    assert "W1: Run the lance" in text
    assert "Bays 2–15: Go through the spill" in text
    assert "Bay 15: Last bay of the compartment: take a sample." in text


def test_holes_of_another_size_or_with_a_note_are_named() -> None:
    hole = {"number": 1, "width_mm": 65, "height_mm": 200, "note": None}
    holes = [hole | {"number": number} for number in range(1, 6)]
    holes[1] |= {"width_mm": 30, "note": "Look first."}
    holes[2] |= {"width_mm": 30, "note": "Look first."}
    assert crew_sheet._usual(holes) == (65, 200)
    assert crew_sheet._odd(holes) == [
        {"numbers": "2–3", "count": 2, "size": (30, 200), "note": "Look first."},
    ]


def test_the_bays_to_sample_are_those_of_the_plan() -> None:
    # builders.practice: one in 5 bays, at least 2, the last one always.
    assert "◆ Sample in bay 5 10 15" in seen(builders.wall())
    assert "◆ Sample" not in seen(builders.attic())


def test_blanks_are_shared_out_evenly_over_the_rows() -> None:
    assert [len(row) for row in crew_sheet._in_rows([{}] * 12)] == [12]
    assert crew_sheet._in_rows([]) == []
    assert [len(row) for row in crew_sheet._in_rows([{}] * 18)] == [9, 9]
    assert [len(row) for row in crew_sheet._in_rows([{}] * 36)] == [12, 12, 12]


def test_hole_heights_are_given_with_the_holes() -> None:
    # 2.65 m high, one hole in the middle of each of 15 bays.
    assert "above the lower edge: 1 325 mm" in seen(builders.wall())


def test_an_open_blow_asks_for_depths_and_markers() -> None:
    text = seen(builders.attic())
    for fact in ("As blown, and settled", "364 → 300 mm", "Markers 12", "Depth as blown", "Markers set"):
        assert fact in text or fact == "Markers 12"
    assert "Bulge" not in text


def test_what_comes_after_filling_is_asked_at_the_end(crew_sheet_pdf: bytes) -> None:
    last = " ".join(PdfReader(BytesIO(crew_sheet_pdf)).pages[-1].extract_text().split())
    assert "Answer these after filling" in last
    assert "Ventilation paths at eaves" in last


def test_us_sheets_are_in_pounds_and_inches_alone() -> None:
    text = seen(builders.wall(), market=Market.US)
    assert "3.12 3.43 4.37 lb/ft³" in text
    assert "52.2 in" in text
    assert "kg" not in text


def test_texts_of_strangers_do_nothing() -> None:
    sheet = facts.crew_sheet(facts.a_few())
    attacked = hostile.everywhere(sheet, hostile.MARKUP)
    known = {tag for tag, _ in Elements(crew_sheet.html(sheet)).tags}
    assert {tag for tag, _ in Elements(crew_sheet.html(attacked)).tags} == known
    assert not PdfReader(BytesIO(crew_sheet.pdf(attacked))).attachments


def test_endless_words_stay_within_the_margins() -> None:
    assert (
        beyond_the_margins(
            crew_sheet.html(hostile.everywhere(facts.crew_sheet(facts.a_few()), hostile.ENDLESS))
        )
        == []
    )


@pytest.mark.parametrize("language", ["en", "de"])
def test_figures_beside_a_wide_drawing_stay_within_the_margins(language: str) -> None:
    """18 mm are 68 px; a wall of 11.2 m takes all the room that is not theirs, in German words too."""
    wide = facts.crew_sheet((builders.wall(width_m=11.2, span_m=2.5),)) | {"language": language}
    assert beyond_the_margins(crew_sheet.html(wide), 68 - 0.5) == []


def test_drawings_have_their_title_and_header_cells_their_scope() -> None:
    elements = Elements(crew_sheet.html(facts.crew_sheet()))
    assert {cell.get("scope") for cell in elements.named("th")} == {"col", "row"}
    after_svg = [elements.tags[i + 1][0] for i, (tag, _) in enumerate(elements.tags) if tag == "svg"]
    assert set(after_svg) == {"title"}


def test_a_part_of_a_supplement_that_nobody_accepted_yet_says_so() -> None:
    told = facts.crew_sheet()
    label = facts.cavities()[0].label
    named = {"number": "J-2026-0005-S1", "state": "offered", "agreed": False, "parts": [label], "dropped": []}
    said = "Supplement J-2026-0005-S1: not accepted yet."
    assert Elements(crew_sheet.html({**told, "supplements": [named]})).text.count(said) == 1
    assert said not in Elements(crew_sheet.html({**told, "supplements": [{**named, "agreed": True}]})).text
