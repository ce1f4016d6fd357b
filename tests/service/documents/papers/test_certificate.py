"""The certificate, read back as a client, an inspector, an assessor and a machine would."""

import copy
import json
import os
import subprocess
import sys
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader

from service.documents.papers import certificate
from service.documents.papers.groups import by_part
from service.documents.pdf.render import PackagedAssets
from service.errors import DocumentFailed
from tests import builders
from tests.service.documents import facts, hostile
from tests.service.documents.reading import Elements, beyond_the_margins, page_size_pt, squeezed, text_of

LABELS = [cavity.label for cavity in facts.cavities()]
A4_PT, LETTER_PT = (595.28, 841.89), (612.0, 792.0)


def changed(record: facts.Facts, **fields: object) -> facts.Facts:
    return copy.deepcopy(record) | fields


def seen(record: facts.Facts) -> str:
    return Elements(certificate.html(record)).text


def test_the_first_page_says_what_each_reader_looks_for(certificate_pdf: bytes) -> None:
    first = squeezed(PdfReader(BytesIO(certificate_pdf)).pages[0].extract_text())
    for fact in (
        "BW-2026-0001",
        "Specimen Insulation",
        "7 Placeholder Lane",
        "A. Specimen",
        "DoP CF-STD-2026-01",
        "settlement class SH 15",
        "5 of 6 parts conform",
        "1 concession was granted",
        "11 of 11 safety hold points answered",
        "89 of 89 openings in the facing closed",
        "n50 = 0.84 per hour, after filling",
        "0.039 W/mK",
        "S. Signatory",
        "24 November 2026, 15:02 UTC",
        "W1 south",
        "23.2 m²",
        "9.23 m²K/W",
        "Does not conform",
        "concession granted",
        "https://specimen.example/verify/BW-2026-0001",
    ):
        assert squeezed(fact) in first


def test_each_part_has_its_figures(certificate_pdf: bytes) -> None:
    text = text_of(certificate_pdf)
    # W1: 9.4 x 2.65 m less a window of 1.4 x 1.2 m is 23.23 m2; 360 mm at 0.039 W/(m K) is 9.23 m2 K/W.
    for fact in (
        "Insulated area 23.2 m²",
        "Depth filled 360 mm",
        "Mass blown 424.5 kg",
        "R of the fill 9.23 m²K/W",
        "known by mass balance and samples together",
        "Window 50.0 to 70.0 kg/m³, planned 55.0 kg/m³",
        "Cores, firm, recovers: bay 4",
        "Fill could move between its 15 bays",
        "Thickness is the mean of 8 readings between 364 mm and 381 mm",
        "Thickness markers: 3 of 3",
    ):
        assert fact in text


def test_what_was_stated_of_the_holes_of_a_part_stays_a_statement(record: facts.Facts) -> None:
    text = seen(record)
    assert "19 entry holes as planned, stated by C. Crew, 2026-11-23" in text
    assert "as planned, wiped, rubbed down; stated by C. Crew, 2026-11-23" in text


def test_every_hole_of_a_sample_and_its_patch_is_listed(record: facts.Facts) -> None:
    text = seen(record)
    samples = sum(part["others"] for part in record["holes"])
    rows = [row for part in by_part(record["holes"]) for row in part["groups"]]
    assert sum(row["count"] for row in rows) == samples > 0
    assert "4 sample holes 100 × 100 mm (bays 4, 9, 14–15)" in text
    assert "200 × 200 mm , roll 150, wiped, rubbed down; C. Crew, 2026-11-23" in text


def test_what_was_closed_otherwise_is_named_on_its_own(record: facts.Facts) -> None:
    careless = copy.deepcopy(record)
    first, second = careless["holes"][0]["singles"][:2]
    first["patch"]["wiped"] = False
    second["patch"] = None
    careless["holes"][0] |= {"as_planned": False, "omitted": [3, 4, 5], "stated": 16}
    text = seen(careless)
    assert "1 sample hole 100 × 100 mm (bay 4) 200 × 200 mm , roll 150, not wiped ," in text
    assert "1 sample hole 100 × 100 mm (bay 9) Not closed" in text
    assert "16 entry holes of the plan, 0 more; not made: 3–5; counted by C. Crew, 2026-11-23" in text


def test_every_hold_point_is_answered_in_the_text(record: facts.Facts) -> None:
    text = seen(record)
    told = "Ventilation paths at eaves and ridge are open along their whole length."
    assert f"{told} (safety) BS 5250 Clear C. Crew" in text
    assert all(text.count(each["text"]["en"]) == 1 for each in record["hold_points"])
    dry = [each["cavity"] for each in record["hold_points"] if each["code"] == "timber_moisture"]
    assert len(dry) > 1
    assert f"Clear, 14.0 %: {', '.join(dry)}" in text
    assert "Dealt with" in text


def test_an_answer_that_differs_is_told_apart(record: facts.Facts) -> None:
    wet = copy.deepcopy(record)
    point = next(each for each in wet["hold_points"] if each["cavity"] == "F1" and each["reading"])
    point |= {"reading": 18.0, "remark": "dried for a week"}
    assert "Clear, 18.0 %: F1 dried for a week" in seen(wet)


def test_a_concession_stands_at_a_glance_in_its_part_and_in_a_section(record: facts.Facts) -> None:
    text = seen(record)
    reason = record["concessions"][0]["reason"]
    assert text.count(reason) == 2
    assert "Granted by O. Office, 24 November 2026, 14:40 UTC" in text


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


def test_a_us_certificate_has_the_receipt_items_of_each_part(us_certificate_pdf: bytes) -> None:
    # 16 CFR 460.17: coverage area, initial installed thickness, minimum settled thickness, R-value, bags;
    # IECC R303.1.1: type, manufacturer, R-value of each element, installed density.
    text = text_of(us_certificate_pdf)
    for item in (
        *("Coverage area", "Initial installed thickness", "Minimum settled thickness", "R-value", "Bags"),
        *("Installed density", "Cellulose fibre, loose fill", "made by", "November 24, 2026", "R-38"),
        *("lb/ft³", "kg/m³", "calculated", "maker’s chart", "R-20"),
        "has no row for 14.2 in (360 mm) at 3.12 lb",
    ):
        assert item in text
    assert page_size_pt(us_certificate_pdf) == pytest.approx(LETTER_PT, abs=0.1)


def test_an_eu_certificate_is_in_si_on_a4(certificate_pdf: bytes) -> None:
    text = text_of(certificate_pdf)
    assert "EN 15101-2" in text
    assert "lb/ft³" not in text
    assert page_size_pt(certificate_pdf) == pytest.approx(A4_PT, abs=0.1)


def test_the_last_page_is_the_card_for_the_hatch_of_an_open_attic(
    certificate_pdf: bytes, record: facts.Facts
) -> None:
    last = " ".join(PdfReader(BytesIO(certificate_pdf)).pages[-1].extract_text().split())
    for fact in ("Insulation of A1", "Post this card", "372 mm", "300 mm", "80.0 m²", "67.1", "electrician"):
        assert fact in last
    closed = changed(record, parts=[part for part in record["parts"] if not part["planned"]["open_blow"]])
    assert "Post this card" not in seen(closed)


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
    assert {cell.get("scope") for cell in elements.named("th")} == {"col", "row"}
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


def test_separate_spaces_are_told_in_one_sentence_and_each_by_its_density(small_record: facts.Facts) -> None:
    part = small_record["parts"][1]
    reached = [space["achieved"] for space in part["found"]["compartments"]]
    low, high = (pick(each["density_kg_m3"] for each in reached) for pick in (min, max))
    text = seen(changed(small_record, parts=[conforming(part)]))
    assert f"{len(reached)} spaces, each by mass balance: {low:.1f} to {high:.1f} kg/m³ (W3 gable/" in text
    assert f"expanded uncertainty at most {max(each['expanded_u_kg_m3'] for each in reached):.1f}" in text
    for number, each in enumerate(reached, start=1):
        assert f"{number}: {each['density_kg_m3']:.1f}" in text
    assert "W3 gable/2 " not in text.replace("(W3 gable/", "").replace(", W3 gable/", "")


def test_closed_bays_of_a_cavity_whose_opening_has_no_place_are_told_as_one(record: facts.Facts) -> None:
    (gable,) = (part for part in record["parts"] if part["found"]["label"] == "W3 gable")
    text = seen(changed(record, parts=[gable]))
    assert "known by mass balance and samples together" in text
    assert "An opening has no place, so that the volume of no bay is known" in text
    assert "Fill could move" not in text


def test_fills_that_name_no_bay_are_not_said_to_have_moved(small_record: facts.Facts) -> None:
    part = conforming(small_record["parts"][1])
    first = part["found"]["compartments"][0]
    part["found"]["compartments"] = [first | {"shared": True, "note": "A fill does not say which bay."}]
    text = seen(changed(small_record, parts=[part]))
    assert "A fill does not say which bay." in text
    assert "Fill could move" not in text


def conforming(part: facts.Facts) -> facts.Facts:
    """The part as if all of its spaces conformed."""
    good = copy.deepcopy(part)
    for space in good["found"]["compartments"]:
        space["verdict"] = "conforming"
    return good


def test_a_space_that_does_not_conform_is_named(small_record: facts.Facts) -> None:
    part = conforming(small_record["parts"][1])
    odd = part["found"]["compartments"][2]
    odd |= {"verdict": "non_conforming", "note": "It was opened and filled again."}
    text = seen(changed(small_record, parts=[part]))
    assert f"{odd['label']} {odd['mass_kg']:.1f} kg" in text
    assert "✗ Does not conform It was opened and filled again." in text
    assert text.count("✗ Does not conform") == 1 + (part["found"]["verdict"] == "non_conforming") * 2


@pytest.mark.bench
def test_sixty_parts_work() -> None:
    one = builders.wall(layers=(builders.layer(200, builders.fraction()),))
    many = tuple(replace(one, label=f"W{number}") for number in range(60))
    stored = facts.certificate(many, off=None)
    reader = PdfReader(BytesIO(certificate.pdf(stored, facts.canonical(stored))))
    text = " ".join(page.extract_text() for page in reader.pages)
    assert all(f"W{number}" in text for number in range(60))
    assert f"Page 1 of {len(reader.pages)}" in text


def test_what_is_missing_is_said_and_not_hidden(record: facts.Facts) -> None:
    bare = copy.deepcopy(record)
    found = bare["parts"][0]["found"]
    found |= {"mass_kg": None, "bags": None, "verdict": None}
    found["compartments"][0] |= {
        **dict.fromkeys(("mass_kg", "mass_balance", "by_samples", "achieved", "verdict", "normalised_error")),
        "samples": [],
    }
    holes = sum(each["made"] + each["others"] for each in bare["holes"])
    bare["holes"][0]["singles"][0]["patch"] = None
    bare["holes"][0]["closed"] -= 1
    bare["hold_points"][0]["answer"] = None
    bare |= {"air_tests": [], "stock": None, "concessions": [], "supersedes": ["BW-2026-0000"]}
    del bare["client"]["email"], bare["site"]["built_year"]
    text = seen(bare)
    for fact in (
        *("not on record", "No density is known", "Not closed", "Not answered", "No air test is on record"),
        *("No concession was granted", "takes the place of certificate BW-2026-0000"),
        *(f"{holes - 1} of {holes} openings in the facing closed", "10 of 11 safety hold points answered"),
    ):
        assert fact in text


def test_evidence_that_contradicts_itself_is_said(record: facts.Facts) -> None:
    torn = copy.deepcopy(record)
    torn["parts"][0]["found"]["compartments"][0] |= {
        "achieved": None,
        "verdict": None,
        "normalised_error": 1.7,
    }
    assert "Mass balance and samples contradict each other (normalised error 1.70)" in seen(torn)


def test_a_record_without_a_fact_makes_no_certificate(record: facts.Facts) -> None:
    maimed = copy.deepcopy(record)
    del maimed["signed_by"]
    with pytest.raises(DocumentFailed, match="signed_by"):
        certificate.pdf(maimed, b"{}")
