"""Photos from strangers: what is refused, and what of the others is kept."""

import io
from datetime import UTC, datetime

import pytest
from PIL import Image, ImageCms, ImageFile, PngImagePlugin

from service.errors import InvalidInput, WrongKind
from service.usecases.work.images import LONGEST_PX, Picture, made_anew
from tests import pictures
from tests.pictures import MARK, photo, pixels, written
from tests.refusals import refused

MOST = 1_000_000


def kept(content: bytes, declared: str = "image/jpeg") -> Picture:
    return made_anew(content, declared, most_pixels=MOST)


def seen(picture: Picture) -> Image.Image:
    return Image.open(io.BytesIO(picture.content))


@pytest.mark.parametrize("name", pictures.OF_ANOTHER_KIND)
def test_another_kind_is_refused_whatever_it_is_called(name: str) -> None:
    with pytest.raises(WrongKind):
        kept(*pictures.OF_ANOTHER_KIND[name])


@pytest.mark.parametrize("name", pictures.UNSOUND)
def test_an_unsound_image_is_refused(name: str) -> None:
    with pytest.raises(InvalidInput):
        kept(*pictures.UNSOUND[name])


@pytest.mark.parametrize("name", ["huge png", "huge jpeg"])
def test_a_huge_image_is_refused_before_a_pixel_is_decoded(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: object) -> None:
        raise AssertionError("It was decoded.")

    monkeypatch.setattr(ImageFile.ImageFile, "load", refuse)
    with refused(InvalidInput, "pixels, more than 1.000.000"):
        kept(*pictures.UNSOUND[name])


def test_an_image_of_as_many_pixels_as_allowed_is_taken() -> None:
    content = written(pixels(100, 50))
    assert made_anew(content, "image/jpeg", most_pixels=5000).width_px == 100
    with refused(InvalidInput, "100 × 50 pixels, more than 4.999"):
        made_anew(content, "image/jpeg", most_pixels=4999)


def test_an_incomplete_image_is_refused_though_the_renderer_lets_it_pass(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with refused(InvalidInput, "damaged or incomplete"):
        kept(photo()[:-200])


@pytest.mark.parametrize("mode", ["L", "RGB"])
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_what_is_kept_is_a_jpeg_in_rgb_under_its_own_digest(kind: str, mode: str) -> None:
    picture = kept(written(pixels().convert(mode), kind), f"image/{kind.lower()}")
    image = seen(picture)
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (96, 64))
    assert (picture.width_px, picture.height_px) == image.size


def test_the_same_photo_is_kept_as_the_same_bytes() -> None:
    assert kept(photo()).content == kept(photo()).content
    assert kept(photo()).content != kept(photo(shade=120)).content


def test_an_ordinary_progressive_jpeg_is_taken() -> None:
    assert kept(written(pixels(), progressive=True)).width_px == 96


def test_an_opaque_alpha_channel_is_dropped() -> None:
    opaque = pixels().convert("RGBA")
    as_rgb = kept(written(pixels(), "PNG"), "image/png")
    assert kept(written(opaque, "PNG"), "image/png").content == as_rgb.content


@pytest.mark.parametrize(
    ("size", "expected"), [((4000, 3000), (1600, 1200)), ((300, 3200), (150, 1600)), ((1600, 9), (1600, 9))]
)
def test_the_longest_side_is_limited(size: tuple[int, int], expected: tuple[int, int]) -> None:
    picture = made_anew(written(pixels(*size)), "image/jpeg", most_pixels=12_000_000)
    assert seen(picture).size == expected
    assert max(expected) == LONGEST_PX


def marked() -> dict[str, tuple[bytes, str]]:
    """Photos with the mark in every place that a file has for notes, and behind the picture."""
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", MARK.decode())
    text.add_text("Packed", MARK.decode(), zip=True)
    text.add_itxt("Author", MARK.decode())
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes() + MARK
    packet = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>" + MARK + b"</x:xmpmeta>"
    resources = b"\xff\xed" + (len(MARK) + 16).to_bytes(2) + b"Photoshop 3.0\x00" + MARK
    burst = written(pixels(), "MPO", save_all=True, append_images=[pixels(shade=80)], comment=MARK)
    jpeg, png = "image/jpeg", "image/png"
    return {
        "exif": (photo(), jpeg),
        "comment": (written(pixels(), comment=MARK), jpeg),
        "profile": (written(pixels(), icc_profile=profile), jpeg),
        "xmp": (written(pixels(), xmp=packet), jpeg),
        "resources": (photo()[:2] + resources + photo()[2:], jpeg),
        "burst": (burst + MARK, jpeg),
        "trailer": (photo() + MARK, jpeg),
        "png text": (written(pixels(), "PNG", pnginfo=text), png),
        "png exif": (written(pixels(), "PNG", exif=pictures.notes()), png),
        "png profile": (written(pixels(), "PNG", icc_profile=profile), png),
        "png trailer": (written(pixels(), "PNG") + MARK, png),
    }


@pytest.mark.parametrize("name", marked())
def test_no_note_survives(name: str) -> None:
    content, declared = marked()[name]
    picture = kept(content, declared)
    assert MARK not in picture.content
    image = seen(picture)
    assert not image.getexif()
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    # Nothing comes after the end of the image.
    assert picture.content.endswith(b"\xff\xd9")
    assert picture.content.count(b"\xff\xd9") == 1


def test_the_marks_were_there_before() -> None:
    found = [name for name, (content, _) in marked().items() if MARK in content]
    # Packed text and profiles of PNG are compressed.
    assert {*marked()} - {*found} == {"png profile"}


def test_time_and_place_are_read_before_the_notes_are_dropped() -> None:
    picture = kept(photo())
    assert picture.taken_at is not None
    assert picture.taken_at.isoformat() == "2026-11-25T09:00:30+00:00"
    assert (picture.latitude, picture.longitude) == (48.2084722, 16.3670139)
    assert kept(written(pixels())).taken_at is None
    assert kept(written(pixels())).latitude is None


@pytest.mark.parametrize("cut", range(0, len(pictures.notes_by_hand()), 7))
def test_damaged_notes_do_not_spoil_a_photo_and_say_nothing_false(cut: int) -> None:
    damaged = b"Exif\x00\x00" + pictures.notes_by_hand()[:cut]
    picture = kept(written(pixels(), exif=damaged))
    assert picture.taken_at in (None, datetime(2026, 7, 1, 13, 30, tzinfo=UTC))
    assert (picture.latitude, picture.longitude) in ((None, None), (-33.8567, 151.2155))


# Where the 0th row and the 0th column of the stored picture are to be seen, by the Orientation tag
# (CIPA DC-008-2019, 4.6.4 A; read from memory, the same table as TIFF 6.0, section 8).
ORIENTATIONS = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_a_photo_is_set_upright(orientation: int, kind: str) -> None:
    stored = Image.new("RGB", (96, 64))
    stored.paste((255, 0, 0), (0, 0, 96, 16))
    stored.paste((0, 0, 255), (0, 16, 16, 64))
    content = written(stored, kind, exif=pictures.notes(orientation=orientation))
    image = seen(kept(content, f"image/{kind.lower()}"))
    middle = {
        "top": (image.width // 2, 4),
        "bottom": (image.width // 2, image.height - 5),
        "left": (4, image.height // 2),
        "right": (image.width - 5, image.height // 2),
    }
    row, column = (image.getpixel(middle[side]) for side in ORIENTATIONS[orientation])
    assert row[0] > 200 > 60 > row[2]
    assert column[2] > 200 > 60 > column[0]


@pytest.mark.parametrize("value", [0, 1, 9, 255])
def test_an_orientation_out_of_the_table_turns_nothing(value: int) -> None:
    picture = kept(written(pixels(), exif=pictures.notes(orientation=value)))
    assert (picture.width_px, picture.height_px) == pixels().size
