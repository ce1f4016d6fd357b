"""The quotation, read back."""

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from service.documents.papers import quote
from service.documents.pdf.render import PackagedAssets
from service.engine.ground.vocabulary import Market
from tests import builders
from tests.service.documents import facts, hostile
from tests.service.documents.reading import Elements, beyond_the_margins, squeezed, text_of


def test_the_first_page_has_the_essentials(quote_pdf: bytes) -> None:
    first = " ".join(PdfReader(BytesIO(quote_pdf)).pages[0].extract_text().split())
    price = facts.quote()["takeoff"]["price"]
    whole, coins = price["total"].split(".")
    for fact in (
        *("Q-2026-0007", "2 November 2026", "Specimen Insulation", "7 Placeholder Lane", "A. Specimen"),
        *("2 December 2026", "To accept, write to office@specimen.example", "Total", "Entry holes"),
        f"{whole[:-3]}\u202f{whole[-3:]}.{coins} EUR",
        f"{price['tax_percent']} % tax",
    ):
        assert fact in first or fact.replace("\u202f", " ") in first


def test_price_lines_tax_and_total_are_all_there(quote_pdf: bytes) -> None:
    text = text_of(quote_pdf)
    for line in facts.quote()["takeoff"]["price"]["lines"]:
        assert " ".join((line["said"] or {"text": line["text"].get("en")})["text"].split()) in text
    assert "Total 5 " in text


def test_it_says_why_each_part_is_filled_as_it_is(quote_pdf: bytes) -> None:
    text = text_of(quote_pdf)
    planned = facts.quote()["takeoff"]["cavities"][0]["fill_plan"]
    assert f"Lance ({planned['lance']}), {planned['hours']:.1f} h." in text
    assert " ".join(planned["reason"]["text"].split()) in text
    others = [each for each in planned["alternatives"] if each["method"] != planned["method"]]
    assert all(" ".join(each["reason"]["text"].split()) in text for each in others)


def test_it_says_what_is_not_included_and_what_the_site_must_be(quote_pdf: bytes) -> None:
    text = text_of(quote_pdf)
    for fact in (
        *("What is not included", "Scaffold", "Licensed trades", "Conditions on site", "Hold points before"),
        *(
            "Timber is at most 19 % moist",
            "They do not replace the local code",
            "Where the figures come from",
        ),
    ):
        assert fact in text


def test_a_condition_that_many_parts_share_stands_once() -> None:
    text = Elements(quote.html(facts.quote())).text
    assert text.count("Timber is at most 19 % moist") == 1
    assert "(W1 south, W2 north, W3 gable, F1, R1 west, A1)" in text


def test_areas_are_never_added_up(quote_pdf: bytes) -> None:
    total = sum(each["geometry"]["net_area_m2"] for each in facts.quote()["takeoff"]["cavities"])
    assert f"{total:.1f}" not in text_of(quote_pdf)


def test_a_us_quotation_has_customary_units_and_its_own_dates() -> None:
    attic = builders.attic(label="A1", label_r=38)
    text = Elements(quote.html(facts.quote((builders.wall(), attic), Market.US))).text
    assert "November 2, 2026" in text
    assert "3.43 lb/ft³ 55.0 kg/m³" in text


def test_what_the_client_left_out_is_left_out() -> None:
    bare = facts.quote()
    bare |= {"client": {"name": "A. Specimen"}, "site": {"address": "7 Placeholder Lane", "country": "AT"}}
    assert "(built" not in Elements(quote.html(bare)).text


def test_texts_of_strangers_do_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    quoted = facts.quote(facts.a_few())
    quote.pdf(quoted)
    asked: list[str] = []
    monkeypatch.setattr(PackagedAssets, "fetch", lambda _, url, headers=None: asked.append(url))
    attacked = hostile.everywhere(quoted, hostile.MARKUP)
    known = {tag for tag, _ in Elements(quote.html(quoted)).tags}
    assert {tag for tag, _ in Elements(quote.html(attacked)).tags} == known
    assert not PdfReader(BytesIO(quote.pdf(attacked))).attachments
    assert asked == []


def test_endless_words_stay_within_the_margins() -> None:
    assert (
        beyond_the_margins(quote.html(hostile.everywhere(facts.quote(facts.a_few()), hostile.ENDLESS))) == []
    )


def test_header_cells_have_their_scope_and_drawings_their_title() -> None:
    elements = Elements(quote.html(facts.quote()))
    assert {cell.get("scope") for cell in elements.named("th")} == {"col", "row"}
    after_svg = [elements.tags[i + 1][0] for i, (tag, _) in enumerate(elements.tags) if tag == "svg"]
    assert set(after_svg) == {"title"}


def test_the_same_offer_gives_the_same_bytes(quote_pdf: bytes) -> None:
    assert quote.pdf(facts.quote()) == quote_pdf


def test_sixty_parts_work() -> None:
    one = builders.wall(layers=(builders.layer(200, builders.fraction()),))
    many = tuple(replace(one, label=f"W{number}") for number in range(60))
    reader = PdfReader(BytesIO(quote.pdf(facts.quote(many))))
    text = squeezed("".join(page.extract_text() for page in reader.pages))
    assert all(f"W{number}Wall" in text for number in range(60))
    assert f"Page1of{len(reader.pages)}" in text
