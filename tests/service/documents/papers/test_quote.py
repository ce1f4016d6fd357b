"""The quotation, read back."""

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from service.documents.papers import quote
from service.documents.pdf.render import PackagedAssets
from service.engine.ground.vocabulary import Market
from service.engine.plan.price import OF_THE_WORK
from tests import builders
from tests.service.documents import facts, hostile
from tests.service.documents.reading import Elements, beyond_the_margins, squeezed, text_of


def test_the_first_page_has_the_essentials(quote_pdf: bytes) -> None:
    first = " ".join(PdfReader(BytesIO(quote_pdf)).pages[0].extract_text().split())
    price = facts.quote()["takeoff"]["price"]
    whole, coins = price["total"].split(".")
    for fact in (
        *("Q-2026-0007", "2 November 2026", "Specimen Insulation", "7 Placeholder Lane", "A. Specimen"),
        *("Open until 2 December 2026", "office@specimen.example", "To pay", "Entry holes", "Accepted"),
        *("Not in it: the airtight layer itself", "Only where our survey before the start finds other"),
        f"{whole[:-3]}\u202f{whole[-3:]}.{coins} EUR",
        f"{price['tax_percent']} % tax",
    ):
        assert fact in first or fact.replace("\u202f", " ") in first


def test_price_lines_tax_and_total_are_all_there(quote_pdf: bytes) -> None:
    text = text_of(quote_pdf)
    for line in facts.quote()["takeoff"]["price"]["lines"]:
        assert " ".join((line["said"] or {"text": line["text"].get("en")})["text"].split()) in text
    assert "piece" not in text


def test_it_says_once_for_each_method_why_and_why_not_a_plain_hose() -> None:
    text = Elements(quote.html(facts.quote())).text
    planned = facts.quote()["takeoff"]["cavities"][0]["fill_plan"]
    hose = next(each for each in planned["alternatives"] if each["method"] == "hose")
    assert text.count(" ".join(planned["reason"]["text"].split())) == 1
    assert f"Why not a plain hose: {hose['reason']['text']}" in text
    others = [each for each in planned["alternatives"] if each["method"] not in ("hose", planned["method"])]
    assert not [each for each in others if each["reason"]["text"] in text]


def test_extras_are_in_the_price_and_without_any_the_paper_says_what_that_means() -> None:
    quoted = facts.quote()
    assert "Nor scaffold" not in Elements(quote.html(quoted)).text
    lines = [line for line in quoted["takeoff"]["price"]["lines"] if line["code"] in OF_THE_WORK]
    quoted["takeoff"]["price"]["lines"] = lines
    assert "Nor scaffold, lifting gear and an air test." in Elements(quote.html(quoted)).text


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
    # 55 kg/m3, and 1.18 EUR/kg for a pound of 0.45359237 kg.
    for fact in ("3.43", "0.5352", " lb ", "16 CFR 460.15"):
        assert fact in text
    for si in ("kg", "m²", " mm"):
        assert si not in text


def test_what_the_client_left_out_is_left_out() -> None:
    bare = facts.quote()
    bare |= {"client": {"name": "A. Specimen"}, "site": {"address": "7 Placeholder Lane", "country": "AT"}}
    assert "built" not in Elements(quote.html(bare)).text


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
    assert {cell.get("scope") for cell in elements.named("th")} == {"col", "row", "colgroup"}
    after_svg = [elements.tags[i + 1][0] for i, (tag, _) in enumerate(elements.tags) if tag == "svg"]
    assert set(after_svg) == {"title"}


@pytest.mark.parametrize(
    ("market", "each"), [(Market.EU, "about 41.20 a m²"), (Market.US, "about 3.8276 a ft²")]
)
def test_a_price_a_square_metre_adds_no_areas_up(market: Market, each: str) -> None:
    """16 CFR 460.17; and the same paper says that areas are never added up."""
    quoted = facts.quote(facts.cavities()[:3]) | {"market": market.value}
    quoted["body"] |= {"display": "per_m2"}
    quoted["takeoff"]["price"]["work_per_m2"] = "41.20"
    text = Elements(quote.html(quoted)).text
    whole_m2 = sum(part["geometry"]["net_area_m2"] for part in quoted["takeoff"]["cavities"])
    assert f"All work on the parts described in this paper, {each}" in text
    for area in (f"{whole_m2:,.1f}", f"{whole_m2 / 0.3048**2:,.0f}", f"{whole_m2 / 0.3048**2:,.1f}"):
        assert area not in text


def test_the_same_offer_gives_the_same_bytes(quote_pdf: bytes) -> None:
    assert quote.pdf(facts.quote()) == quote_pdf


def test_sixty_parts_work() -> None:
    one = builders.wall(layers=(builders.layer(200, builders.fraction()),))
    many = tuple(replace(one, label=f"W{number}") for number in range(60))
    reader = PdfReader(BytesIO(quote.pdf(facts.quote(many))))
    text = squeezed("".join(page.extract_text() for page in reader.pages))
    assert all(f"W{number}" in text for number in range(60))
    assert f"Page1of{len(reader.pages)}" in text
    assert len(reader.pages) <= 5


def test_what_the_crew_sees_to_by_itself_is_no_condition_to_a_client() -> None:
    quoted = facts.quote()
    point = next(each for each in quoted["takeoff"]["hold_points"] if each["stage"] == "before")
    said = point["text"]["en"]
    assert said in Elements(quote.html(quoted)).text
    for each in quoted["takeoff"]["hold_points"]:
        each["crews"] = each["code"] == point["code"]
    assert said not in Elements(quote.html(quoted)).text
