"""The photos of a certificate: printed byte for byte, with words for those who cannot see them."""

import copy
import hashlib
from io import BytesIO

import pikepdf
import pytest
from pypdf import PdfReader

from service.documents.papers import certificate
from service.documents.papers.photos import by_address, position
from service.errors import DocumentFailed
from tests.pictures import pixels, written
from tests.service.documents import facts
from tests.service.documents.reading import Elements, squeezed

PHOTOS = {
    hashlib.sha256(content).hexdigest(): content
    for content in (written(pixels(300, 200, shade=shade)) for shade in (10, 20, 30, 40))
}
PATCH, SHARED, DETAIL, OF_A_PART = PHOTOS


def shown(sha256: str, *tags: str, **fields: object) -> facts.Facts:
    notes = {"taken_at": "2026-11-23T09:12:00Z", "latitude": None, "longitude": None}
    notes |= {"cavity": None, "caption": None}
    return {"sha256": sha256, "tags": list(tags), "width_px": 300, "height_px": 200, **notes, **fields}


@pytest.fixture(scope="module")
def record(small_record: facts.Facts) -> facts.Facts:
    photos = [
        shown(PATCH, "W2 north-1", latitude=48.2084722, longitude=-16.3670139),
        shown(SHARED, "W2 north-2", "W2 <north>-3"),
        shown(DETAIL, taken_at=None),
        shown(OF_A_PART, cavity="A1", caption="The hatch <before> it was closed"),
    ]
    return copy.deepcopy(small_record) | {"photos": photos}


@pytest.fixture(scope="module")
def pdf(record: facts.Facts) -> bytes:
    return certificate.pdf(record, facts.canonical(record), PHOTOS)


def test_each_photo_has_its_words(record: facts.Facts) -> None:
    pictures = Elements(certificate.html(record)).named("img")
    assert [(each["src"], each["alt"]) for each in pictures] == [
        (f"photo:{PATCH}", "Photo: Patch over W2 north-1, 23 Nov 2026, 09:12 UTC"),
        (f"photo:{SHARED}", "Photo: Patches over W2 north-2, W2 <north>-3, 23 Nov 2026, 09:12 UTC"),
        (f"photo:{DETAIL}", "Photo: Detail"),
        (f"photo:{OF_A_PART}", "Photo: A1: The hatch <before> it was closed, 23 Nov 2026, 09:12 UTC"),
    ]
    assert "A1 The hatch <before> it was closed 23 Nov 2026" in Elements(certificate.html(record)).text


def test_a_record_without_photos_has_no_annex(small_record: facts.Facts) -> None:
    assert "Photos" not in Elements(certificate.html(small_record)).text


def test_the_annex_shows_the_photos_byte_for_byte(pdf: bytes) -> None:
    with pikepdf.open(BytesIO(pdf)) as file:
        images = [each for each in file.objects if isinstance(each, pikepdf.Stream)]
        images = [each for each in images if each.get("/Subtype") == "/Image"]
        assert {hashlib.sha256(each.read_raw_bytes()).hexdigest() for each in images} == {*PHOTOS}
        # PDF/A forbids smoothing (ISO 19005-3, 6.2.8).
        assert [bool(each.Interpolate) for each in images] == [False] * len(PHOTOS)
    reader = PdfReader(BytesIO(pdf))
    annex = [page for page in reader.pages if "timenotnoted" in squeezed(page.extract_text())]
    assert len(annex) == 1
    assert len(annex[0].images) == len(PHOTOS)
    words = squeezed(annex[0].extract_text())
    assert "48.20847°N,16.36701°W" in words
    assert "timenotnoted" in words
    assert all(f"SHA-256{sha256}" in words for sha256 in PHOTOS)


def test_a_screen_reader_finds_each_photo_s_words(pdf: bytes) -> None:
    with pikepdf.open(BytesIO(pdf)) as file:
        spoken = [
            str(each.Alt)
            for each in file.objects
            if isinstance(each, pikepdf.Dictionary) and each.get("/S") == "/Figure"
        ]
    assert len([words for words in spoken if words.startswith("Photo: ")]) == len(PHOTOS)


def test_a_certificate_with_photos_is_the_same_bytes_every_time(pdf: bytes, record: facts.Facts) -> None:
    other_order = dict(reversed(PHOTOS.items()))
    assert certificate.pdf(copy.deepcopy(record), facts.canonical(record), other_order) == pdf


def test_a_photo_that_is_missing_or_another_ends_the_rendering(record: facts.Facts) -> None:
    with pytest.raises(DocumentFailed, match=DETAIL[:40]):
        certificate.pdf(record, facts.canonical(record), {PATCH: PHOTOS[PATCH], SHARED: PHOTOS[SHARED]})
    with pytest.raises(DocumentFailed, match="not the one that was taken in"):
        by_address({PATCH: PHOTOS[DETAIL]})


@pytest.mark.parametrize(
    ("latitude", "longitude", "expected"),
    [
        (48.2084722, 16.3670139, "48.20847° N, 16.36701° E"),
        (-33.8567, -151.2155, "33.85670° S, 151.21550° W"),
        (0.0, 0.0, "0.00000° N, 0.00000° E"),
    ],
)
def test_a_place_has_its_sides(latitude: float, longitude: float, expected: str) -> None:
    assert position(latitude, longitude) == expected
