"""The certificate, read back as a client, an inspector, an assessor and a machine would."""

import copy
import json
import os
import re
import subprocess
import sys
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader

from service.documents.papers import certificate
from service.documents.papers.build_ups import build_ups
from service.documents.papers.certified import certified
from service.documents.pdf.render import PackagedAssets
from service.documents.wording.formats import Units
from service.errors import DocumentFailed
from tests import builders
from tests.service.documents import facts, hostile
from tests.service.documents.reading import Elements, beyond_the_margins, page_size_pt, squeezed, text_of

A4_PT, LETTER_PT = (595.28, 841.89), (612.0, 792.0)


def changed(record: facts.Facts, **fields: object) -> facts.Facts:
    return copy.deepcopy(record) | fields


def seen(record: facts.Facts) -> str:
    return Elements(certificate.html(record)).text


def test_the_first_page_says_what_most_readers_look_for(certificate_pdf: bytes, record: facts.Facts) -> None:
    first = squeezed(PdfReader(BytesIO(certificate_pdf)).pages[0].extract_text())
    # W1: 9.4 x 2.65 m less a window of 1.4 x 1.2 m is 23.23 m2; 360 mm at 0.039 W/(m K) is 9.23 m2 K/W.
    for fact in (
        *("BW-2026-0001", "Specimen Insulation", "7 Placeholder Lane", "A. Specimen", "DoP CF-STD-2026-01"),
        *("settlement class SH 15", "5 of 6 parts conform", "Does not conform: F1", "23 November 2026"),
        *("1 concession was granted", "11 of 11 safety checks answered", "89 of 89 holes closed"),
        *("n50 0.84 per hour, after filling", "0.039 W/mK", "S. Signatory", "24 Nov 2026, 15:02 UTC"),
        *(
            "W1 south",
            "23.2",
            f"{record['parts'][0]['found']['mass_kg']:.1f}",
            "R of the fill 9.23 m²K/W",
            "✗ Does not conform *",
        ),
        *("The client accepts the lower density", "O. Office, 24 Nov 2026"),
        "https://specimen.example/verify/BW-2026-0001",
    ):
        assert squeezed(fact) in first, fact


def test_a_certificate_without_a_fault_says_so_in_its_first_line(us_record: facts.Facts) -> None:
    good = changed(us_record, concessions=[])
    for part, each in zip(good["parts"], good["outcome"]["parts"], strict=True):
        part["found"]["verdict"] = each["verdict"] = "conforming"
    assert "✓ All 3 parts conform." in seen(good)
    good["outcome"]["parts"][0]["verdict"] = None
    assert "✓ All" not in seen(good)
    assert "2 of 3 parts conform. ? Undecided: W2 north" in seen(good)


def test_what_is_not_part_of_it_is_listed_without_figures(record: facts.Facts) -> None:
    outcome = {
        "parts": [
            {"cavity": part["cavity"]["label"], "verdict": part["found"]["verdict"]}
            for part in record["parts"][1:]
        ],
        "not_part": [{"cavity": "W1 south", "element": "wall", "filled": False}],
        "concessions": [],
    }
    text = seen(changed(record, outcome=outcome, parts=record["parts"][1:]))
    assert "Not filled, and not part of this certificate: W1 south" in text
    assert "W1 south no fill is on record: no R, no U-value, no density – Not filled" in text
    # Its area and its mass stand nowhere.
    assert "23.2" not in text
    assert f"{record['parts'][0]['found']['mass_kg']:.1f}" not in text


def test_a_preview_says_so_and_has_no_number_no_code_and_no_signature(record: facts.Facts) -> None:
    text = Elements(certificate.html(record, preview=True)).text
    assert text.count("Preview, not issued") >= 2
    for fact in ("BW-2026-0001", "S. Signatory signed"):
        assert fact not in text
    assert "qr" not in [
        each.get("class") for each in Elements(certificate.html(record, preview=True)).named("svg")
    ]


def test_the_attics_card_of_a_preview_is_signed_by_nobody(record: facts.Facts) -> None:
    said = f"Signed {record['signed_by']}, "
    assert said in Elements(certificate.html(record)).text
    assert said not in Elements(certificate.html(record, preview=True)).text


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_drawing_is_as_wide_as_its_title_but_no_wider_than_half_a_page(language: str) -> None:
    units = Units("eu", language)
    part = {"cavity": {"label": "F1", "place": "over the cellar"}, "holes": {"made": 22}}
    title = {"en": "F1; over the cellar; 22 entry holes", "de": "F1; over the cellar; 22 Einblasöffnungen"}
    assert certificate._title_mm(part, units) == certificate.LETTER_MM * len(title[language])
    long = part | {"cavity": {"label": "F1", "place": "over the cellar " * 9}, "holes": None}
    assert certificate._title_mm(long, units) == certificate.HALF_MM


def test_a_preview_names_the_photos_that_would_not_be_in_it(record: facts.Facts) -> None:
    awaited = [
        {"id": "1", "entry": "e", "by": "C. Crew", "cavities": ["W1 south"]},
        {"id": "2", "entry": "e", "by": "C. Crew", "cavities": ["W1 south"]},
        {"id": "3", "entry": "f", "by": "D. Crew", "cavities": []},
    ]
    text = Elements(certificate.html(record | {"photos_awaited": awaited}, preview=True)).text
    assert "have not arrived would not be in it: 2 of W1 south, with C. Crew; 1 with D. Crew." in text
    assert "have not arrived" not in Elements(certificate.html(record, preview=True)).text


def test_a_part_says_where_in_the_building_it_is(record: facts.Facts) -> None:
    # In the table, and above its elevation.
    assert seen(record).count("F1 over the cellar") == 2


def test_what_nobody_measured_of_an_attic_is_told_and_its_settled_thickness_is_no_claim(
    record: facts.Facts,
) -> None:
    unseen = copy.deepcopy(record)
    found = next(part["found"] for part in unseen["parts"] if part["planned"]["open_blow"])
    found["open_blow"] |= {"thickness": None, "markers": None, "verdict": None}
    found |= {"verdict": None, "installed": None}
    text = seen(unseen)
    assert "– → (300)" in text
    assert "– (300 mm) (" in text
    assert "Nobody measured the thickness since the last fill." in text
    assert "Nobody counted the thickness markers." in text
    assert "by thickness and mass; R of the fill (" in text
    assert "by thickness and mass; R of the fill (" not in seen(record)


def test_what_was_stated_of_the_holes_of_a_part_stays_a_statement(record: facts.Facts) -> None:
    text = seen(record)
    # What is said of most parts stands once, above the table.
    assert "its entry holes are as planned: stated by C. Crew, 23 Nov 2026." in text
    assert "of the planned size, wiped and pressed on by C. Crew, 23 Nov 2026." in text
    assert "19 as planned, stated by" not in text
    other = copy.deepcopy(record)
    other["holes"][0] |= {"stated_by": "D. Crew"}
    other["holes"][0]["patch"] |= {"tape": "airtight tape"}
    text = seen(other)
    assert "19 as planned, stated by D. Crew, 23 Nov 2026 (" in text
    assert "as planned, airtight tape; wiped, pressed on; C. Crew, 23 Nov 2026" in text


def test_a_hole_that_was_closed_by_itself_is_told_apart(record: facts.Facts) -> None:
    later = copy.deepcopy(record)
    of_w1 = later["holes"][0]
    of_w1["closed_apart"] = [{"number": 3, "patch": of_w1["patch"] | {"happened_at": "2026-11-24T09:00:00Z"}}]
    text = seen(later)
    assert "; 3: " in text
    assert "pressed on; C. Crew, 24 Nov 2026" in text


def test_a_penetration_that_another_closed_is_told_as_his(record: facts.Facts) -> None:
    sealed = copy.deepcopy(record)
    of_w1 = sealed["holes"][0]
    patch = of_w1["singles"][0]["patch"] | {"by": "P. Plumber", "tape": "collar", "width_mm": 250.0}
    pipe = of_w1["singles"][0] | {"purpose": "service", "tag": "PIPE", "patch": patch}
    besides = of_w1["singles"][0] | {"purpose": "entry", "tag": "X1", "bay": 3, "patch": None}
    of_w1["singles"] += [pipe, besides]
    of_w1 |= {"others": of_w1["others"] + 1, "made": of_w1["made"] + 1, "closed": of_w1["closed"] + 1}
    text = seen(sealed)
    assert "1 penetration for a service PIPE (" in text
    assert "; PIPE: 250 × 200 mm, collar; wiped, pressed on; P. Plumber, 23 Nov 2026" in text
    assert "1 added X1 (bay 3, 100 × 100 mm)" in text
    assert "open: X1" in text


def test_a_planned_hole_of_another_size_is_told_with_its_size(record: facts.Facts) -> None:
    wider = copy.deepcopy(record)
    of_w1 = wider["holes"][0]
    single = of_w1["singles"][0] | {"purpose": "entry", "number": 2, "width_mm": 90.0, "height_mm": 240.0}
    of_w1["singles"].append(single)
    assert "; 2: 90 × 240 mm" in seen(wider)


def test_planned_holes_are_never_drawn_as_if_made(record: facts.Facts) -> None:
    untold = copy.deepcopy(record)
    of_w1 = untold["holes"][0]
    numbers = [hole["number"] for hole in untold["parts"][0]["planned"]["fill_plan"]["hole_list"]]
    of_w1 |= {"stated": 0, "made": 0, "as_planned": False, "stated_by": None, "unaccounted": numbers}
    text = seen(untold)
    assert "W1 south no hole on record" in text
    rings = [html.count("<circle") + html.count("h0") for html in map(certificate.html, (record, untold))]
    assert rings[1] < rings[0]


def test_what_was_closed_otherwise_is_named(record: facts.Facts) -> None:
    careless = copy.deepcopy(record)
    first, second = careless["holes"][0]["singles"][:2]
    first["patch"]["wiped"] = False
    second["patch"] = None
    careless["holes"][0] |= {"as_planned": False, "omitted": [3, 4, 5], "stated": 16, "closed": 19}
    text = seen(careless)
    assert "16 of the plan, stated by C. Crew, 23 Nov 2026" in text
    assert "left out: 3, 4, 5" in text
    assert "19 of 23" in text
    assert "sample of bay 4: 200 × 200 mm, roll 150; not wiped" in text
    assert "open: sample of bay 9" in text


def test_every_hold_point_is_answered_in_the_text(record: facts.Facts) -> None:
    text = seen(record)
    told = "■ Ventilation paths at eaves and ridge are open along their whole length."
    assert "Answers with the hour alone are of C. Crew, 23 Nov 2026." in text
    assert f"{told} Clear; " in text
    other = copy.deepcopy(record)
    last = next(each for each in other["hold_points"] if each["code"] == "ventilation")
    last["by"] = "D. Crew"
    assert f"{told} Clear; D. Crew, 23 Nov 2026 " in seen(other)
    assert all(text.count(each["text"]["en"]) == 1 for each in record["hold_points"])
    dry = [each["cavity"] for each in record["hold_points"] if each["code"] == "timber_moisture"]
    assert len(dry) > 1
    assert f"Clear, 14.0 %: {', '.join(dry)}" in text
    assert "Dealt with" in text


def test_an_answer_that_differs_is_told_apart(record: facts.Facts) -> None:
    wet = copy.deepcopy(record)
    point = next(each for each in wet["hold_points"] if each["cavity"] == "F1" and each["reading"])
    point |= {"reading": 18.0, "remark": "dried for a week"}
    assert "Clear, 18.0 %: F1; dried for a week" in seen(wet)


def test_an_account_of_material_holds_what_was_blown_again(record: facts.Facts) -> None:
    again = copy.deepcopy(record)
    again["stock"][0]["blown_again_kg"] = 20.0
    assert "kg), 20.0 kg of the spill was blown again; " in seen(again)
    assert "blown again" not in seen(record)


def test_a_us_certificate_is_a_receipt_on_its_first_page(us_certificate_pdf: bytes) -> None:
    # 16 CFR 460.17: coverage area, initial installed thickness, minimum settled thickness, R-value, bags;
    # IECC R303.1.1: type, manufacturer, R-value of each element, installed density.
    first = " ".join(PdfReader(BytesIO(us_certificate_pdf)).pages[0].extract_text().split())
    for item in (
        *(
            "and receipt",
            "Coverage",
            "Initial thickness",
            "Minimum settled",
            "R-value",
            "Bags",
            "Density found",
        ),
        *(
            "loose-fill cellulose made by",
            "Nov 24, 2026",
            "R-38",
            "lb/ft³",
            "S. Signatory",
        ),
    ):
        assert item in first
    text = text_of(us_certificate_pdf)
    for si in ("kg/m³", " m²", "m²K/W"):
        assert si not in text
    assert page_size_pt(us_certificate_pdf) == pytest.approx(LETTER_PT, abs=0.1)


def test_an_open_attic_has_a_card_for_its_hatch(certificate_pdf: bytes, record: facts.Facts) -> None:
    last = " ".join(PdfReader(BytesIO(certificate_pdf)).pages[-1].extract_text().split())
    for fact in ("Attic A1", "Post at the hatch", "372 mm", "300 mm", "80.0 m²", "67.4", "recessed lights"):
        assert fact in last
    closed = changed(record, parts=[part for part in record["parts"] if not part["planned"]["open_blow"]])
    assert "Post at the hatch" not in seen(closed)


def test_what_is_missing_is_said_and_not_hidden(record: facts.Facts) -> None:
    bare = copy.deepcopy(record)
    bare["outcome"]["parts"][0]["verdict"] = None
    bare["holes"][0]["singles"][0]["patch"] = None
    bare["holes"][0]["closed"] -= 1
    bare["hold_points"][0]["answer"] = None
    bare |= {"air_tests": [], "lots": [], "concessions": [], "supersedes": ["BW-2026-0000"]}
    del bare["client"]["email"], bare["site"]["built_year"]
    holes = sum(each["made"] + each["others"] for each in bare["holes"])
    text = seen(bare)
    for fact in (
        *("? Undecided: W1 south", "Not answered", "No air test is on record", "Lots not noted"),
        *("takes the place of certificate BW-2026-0000", "Depths as planned: nobody measured them."),
        *(f"{holes - 1} of {holes} holes closed", "10 of 11 safety checks answered"),
    ):
        assert fact in text, fact


def test_a_large_buildings_first_page_claims_no_u_of_what_does_not_conform(
    record: facts.Facts, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.documents.papers.in_short.LARGE", 3)
    first = seen(record).partition("For the owner")[0]
    assert re.search(r"C Floor, 220 mm 1 [^(]* \(0\.217\) ✗ Does not conform", first)
    assert re.search(r"A Wall, 360 mm 2 [^(]* 0\.11\d–?\S* ✓ Conforms", first)
    assert "In brackets where the part is not shown to conform" in first


def test_evidence_that_contradicts_itself_is_said(record: facts.Facts) -> None:
    torn = copy.deepcopy(record)
    torn["parts"][0]["found"]["compartments"][0] |= {
        "achieved": None,
        "verdict": None,
        "normalised_error": 1.7,
    }
    text = seen(torn)
    assert "contradictory" in text
    assert "contradicts the balance" in text


def shallower(record: facts.Facts, label: str, **heat: object) -> facts.Facts:
    """The record, one part of which was found 340 mm deep, with its heat as found."""
    (part,) = (each for each in record["parts"] if each["cavity"]["label"] == label)
    thermal = part["planned"]["thermal"] | {"r_fill": 8.7, "u_value_w_m2k": 0.123, "r_total": 8.13} | heat
    found = {
        **{"cavity": label, "depth_measured": True, "depth_mm": 340.0, "quoted_depth_mm": 360.0},
        **{
            "net_area_m2": 21.7,
            "r_fill": 8.7,
            "u_value_w_m2k": 0.123,
            "thermal": thermal,
            "density": None,
            "as_it_is": None,
        },
        "apart": [{"bay": 3, "state": "full", "area_m2": 1.5}],
    }
    others = [each for each in record["as_found"] if each["cavity"] != label]
    return changed(record, as_found=[found, *others])


def test_it_follows_what_was_found_on_site(record: facts.Facts) -> None:
    text = seen(shallower(record, "W1 south"))
    assert "W1 south 21.7 340 " in text
    assert " 0.123 " in text
    assert "1.5 bay 3: full already; no R, no U-value, no density" in text


def test_a_build_up_is_drawn_as_it_was_found_or_who_was_found_otherwise_is_named(
    record: facts.Facts,
) -> None:
    """W1 south and W2 north are made alike; a gap of 100 mm was found in the place of one of 120 mm."""
    found = shallower(record, "W1 south")
    layers = copy.deepcopy(found["parts"][0]["cavity"]["layers"])
    layers[1]["depth_mm"] = 100.0
    as_it_is = found["parts"][0]["cavity"] | {"layers": layers}
    found["as_found"][0]["as_it_is"] = as_it_is
    text = seen(found)
    assert ", 340–360 mm; density" in text
    assert "W1 south: found otherwise than drawn." in text
    alone = found | {"parts": [part for part in found["parts"] if part["cavity"]["label"] != "W2 north"]}
    (group, *_) = build_ups([certified(part, alone, Units("eu")) for part in alone["parts"]])
    assert (group.cavity, group.otherwise, group.depth_mm) == (as_it_is, (), (340.0, 340.0))


def test_what_a_build_up_is_said_to_be_made_of_is_what_was_found(record: facts.Facts) -> None:
    """Nothing on the paper gives the R or U of the depth that was only quoted."""
    text = seen(shallower(record, "W1 south"))
    assert "340–360 mm; density from 50.0–70.0 kg/m³; R of the fill 8.70–9.23 m²K/W" in text
    assert "Fill with its timber 340–360 " in text
    assert re.search(r"Whole element, U 0\.11\d–0\.123 W/m²K 8\.13–", text)


def test_a_density_is_shown_in_the_window_that_it_is_judged_by(record: facts.Facts) -> None:
    """A wall that is deeper than 300 mm has another one than the wall that was quoted."""
    found = shallower(record, "W3 gable")
    bounds = copy.deepcopy(found["parts"][2]["planned"]["density"])
    bounds["lowest_kg_m3"]["value"] = 52.5
    found["as_found"][0]["density"] = bounds
    assert "W3 gable 52.5–70.0 " in seen(found)
    (row,) = (each for each in certificate.glance(found) if each["cavity"]["label"] == "W3 gable")
    (before,) = (each for each in certificate.glance(record) if each["cavity"]["label"] == "W3 gable")
    assert row["area"].number == "21.7"
    assert row["strip"] != before["strip"]


def test_a_part_is_drawn_with_the_members_that_were_found(record: facts.Facts) -> None:
    """A sample is of a bay as it was counted on site, which on the plan may be another, or none."""
    found = shallower(record, "W3 gable")
    (gable,) = (each for each in record["parts"] if each["cavity"]["label"] == "W3 gable")
    places_m = [0.03, *(each / 2 for each in range(1, 12)), 5.97]
    layer = gable["cavity"]["layers"][0]
    framing = layer["framing"] | {"spacing_mm": None, "members_at_m": places_m}
    found["as_found"][0]["as_it_is"] = gable["cavity"] | {"layers": [layer | {"framing": framing}]}
    drawings = [
        re.search(r"<svg[^>]*><title>Elevation of W3 gable.*?</svg>", certificate.html(each), re.DOTALL)
        for each in (record, found)
    ]
    as_planned, as_found = (each[0] for each in drawings if each)
    assert as_found != as_planned


def test_a_us_receipt_tells_of_a_depth_that_nobody_measured(us_record: facts.Facts) -> None:
    assert "Depths as planned: nobody measured them." in seen(us_record)
    (label, *_) = [part["cavity"]["label"] for part in us_record["parts"] if part["planned"]["density"]]
    text = seen(shallower(us_record, label))
    assert "¹ as planned: nobody measured the depth." in text


def test_the_days_of_installation_are_those_of_its_parts(record: facts.Facts) -> None:
    days = {"filled_from": "2026-11-21T23:30:00Z", "filled_until": "2026-11-24T09:00:00+02:00"}
    assert "Installed 21 November 2026 – 24 November 2026" in seen(record | days)
    assert "Installed –" in seen(record | {"filled_from": None, "filled_until": None})


def test_a_makers_r_stands_for_no_other_depth_than_was_found(us_record: facts.Facts) -> None:
    """16 CFR 460.17; and what is blown tight has one thickness, which is not rounded two ways."""
    labelled = [{"code": "heat.resistance_by_label", "values": {"label_r": 40}}]
    planned = copy.deepcopy(us_record)
    planned["parts"][0]["planned"]["thermal"] |= {"label_r": 40, "notes": labelled}
    assert "W2 north 205 14.2 14.2 R-40 " in seen(planned)
    text = seen(shallower(planned, "W2 north", label_r=None, notes=[]))
    # 13.4 in over the declared conductivity would be 49.4: it is on no receipt.
    assert "W2 north 234 13.4 13.4 – " in text
    assert "none stands where the maker’s charts have no row for it" in text
    assert "R-40" not in text


def test_an_r_that_holds_only_once_the_part_conforms_is_in_brackets(us_record: facts.Facts) -> None:
    text = seen(us_record)
    assert "(R-38)" not in text
    failing = copy.deepcopy(us_record)
    failing["parts"][-1]["found"]["verdict"] = "non_conforming"
    text = seen(failing)
    assert " (R-38) " in text
    assert re.search(
        "Post at the hatch.* \\(R-38\\) .*In brackets where the part is not shown to conform", text
    )


def test_areas_and_r_values_are_never_added_up(
    certificate_pdf: bytes, us_certificate_pdf: bytes, record: facts.Facts, us_record: facts.Facts
) -> None:
    # 16 CFR 460.17.
    for pdf, stored, per_m2 in (
        (certificate_pdf, record, 1.0),
        (us_certificate_pdf, us_record, 1 / 0.3048**2),
    ):
        text = text_of(pdf)
        total_m2 = sum(part["planned"]["geometry"]["net_area_m2"] for part in stored["parts"])
        total_r = sum(part["planned"]["thermal"]["r_fill"] for part in stored["parts"])
        for written in (
            f"{total_m2:.1f}",
            f"{total_m2 * per_m2:,.0f}",
            f"{total_r:.2f}",
            f"{total_r * 5.678263:.1f}",
        ):
            assert written not in text


def test_an_eu_certificate_is_in_si_on_a4(certificate_pdf: bytes) -> None:
    text = text_of(certificate_pdf)
    assert "EN 15101-2" in text
    assert "lb/ft³" not in text
    assert page_size_pt(certificate_pdf) == pytest.approx(A4_PT, abs=0.1)


def test_the_record_is_attached_byte_for_byte(certificate_pdf: bytes, record: facts.Facts) -> None:
    attachments = PdfReader(BytesIO(certificate_pdf)).attachments
    assert list(attachments) == ["record.json"]
    assert attachments["record.json"] == [facts.canonical(record)]


def test_the_code_leads_to_the_page_that_verifies_it(certificate_pdf: bytes, record: facts.Facts) -> None:
    links = [
        annotation["/A"]["/URI"]
        for page in PdfReader(BytesIO(certificate_pdf)).pages
        for annotation in page.get("/Annots", [])
    ]
    assert set(links) == {record["verify_url"]}
    titles = f"QR code: verify this certificate at {record['verify_url']}"
    assert titles in certificate.html(record)


def test_the_same_record_gives_the_same_bytes(small_record: facts.Facts, tmp_path: Path) -> None:
    canonical, made = tmp_path / "record.json", tmp_path / "made.pdf"
    canonical.write_bytes(facts.canonical(small_record))
    script = (
        "import json, sys; from pathlib import Path; from service.documents.papers import certificate\n"
        "data = Path(sys.argv[1]).read_bytes()\n"
        "Path(sys.argv[2]).write_bytes(certificate.pdf(json.loads(data), data))"
    )
    elsewhere = os.environ | {"PYTHONHASHSEED": "77", "TZ": "Pacific/Auckland", "SOURCE_DATE_EPOCH": "0"}
    subprocess.run([sys.executable, "-c", script, canonical, made], env=elsewhere, check=True)
    once = certificate.pdf(small_record, canonical.read_bytes())
    assert certificate.pdf(small_record, canonical.read_bytes()) == once
    assert made.read_bytes() == once


def test_it_is_made_from_json_that_was_stored_and_read_again(record: facts.Facts) -> None:
    assert certificate.html(json.loads(facts.canonical(record))) == certificate.html(record)


def test_every_header_cell_has_its_scope_and_every_drawing_its_title(record: facts.Facts) -> None:
    elements = Elements(certificate.html(record))
    assert {cell.get("scope") for cell in elements.named("th")} == {"col", "row", "colgroup"}
    after_svg = [elements.tags[i + 1][0] for i, (tag, _) in enumerate(elements.tags) if tag == "svg"]
    assert set(after_svg) == {"title"}
    levels = [int(tag[1]) for tag, _ in elements.tags if tag in ("h1", "h2", "h3")]
    assert levels[0] == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))


def test_texts_of_strangers_do_nothing(small_record: facts.Facts, monkeypatch: pytest.MonkeyPatch) -> None:
    certificate.pdf(small_record, b"{}")
    asked: list[str] = []
    monkeypatch.setattr(PackagedAssets, "fetch", lambda _, url, headers=None: asked.append(url))
    attacked = hostile.everywhere(small_record, hostile.MARKUP)
    known = {tag for tag, _ in Elements(certificate.html(small_record)).tags}
    assert {tag for tag, _ in Elements(certificate.html(attacked)).tags} == known
    pdf = certificate.pdf(attacked, b"{}")
    assert asked == []
    assert list(PdfReader(BytesIO(pdf)).attachments) == ["record.json"]
    assert "{{ 7 * 7 }}" in Elements(certificate.html(attacked)).text


def test_endless_words_stay_within_the_margins(small_record: facts.Facts) -> None:
    few = small_record | {"holes": small_record["holes"][:2]}
    assert beyond_the_margins(certificate.html(few)) == []
    assert beyond_the_margins(certificate.html(hostile.everywhere(few, hostile.ENDLESS))) == []


def test_letters_that_the_fonts_lack_do_not_stop_it(small_record: facts.Facts) -> None:
    strange = changed(small_record, client={"name": "測試 🏠 \x07"})
    assert certificate.pdf(strange, b"{}").startswith(b"%PDF")
    assert "[U+6E2C][U+8A66] [U+1F3E0] [U+0007]" in seen(strange)


@pytest.mark.bench
def test_sixty_parts_work() -> None:
    one = builders.wall(layers=(builders.layer(200, builders.fraction()),))
    many = tuple(replace(one, label=f"W{number}") for number in range(60))
    stored = facts.certificate(many, off=None)
    reader = PdfReader(BytesIO(certificate.pdf(stored, facts.canonical(stored))))
    text = " ".join(page.extract_text() for page in reader.pages)
    assert all(f"W{number}" in text for number in range(60))
    assert f"Page 1 of {len(reader.pages)}" in text


def test_a_record_without_a_fact_makes_no_certificate(record: facts.Facts) -> None:
    maimed = copy.deepcopy(record)
    del maimed["signed_by"]
    with pytest.raises(DocumentFailed, match="signed_by"):
        certificate.pdf(maimed, b"{}")


def test_entries_of_a_clock_that_ran_ahead_are_owned_up_to(record: facts.Facts) -> None:
    assert "1 entry was made by a clock that ran ahead" in seen(record)
    assert "3 entries were made by clocks that ran ahead" in seen(changed(record, doubtful_clocks=3))
    assert "ran ahead" not in seen(changed(record, doubtful_clocks=0))
