"""A JPEG whose data end before its pixels do is found out; a sound one of any sort never is."""

import io
from typing import Any

import pytest
from PIL import Image, ImageFile

from service.errors import InvalidInput
from service.usecases.work.images import made_anew
from service.usecases.work.jpeg import END, check_pixels
from tests.refusals import refused

SORTS: dict[str, dict[str, Any]] = {
    "as usual": {},
    "progressive": {"progressive": True},
    "with tables of its own": {"optimize": True, "quality": 100},
    "coarse": {"quality": 5},
    "every colour": {"subsampling": 0},
    "with restarts": {"restart_marker_rows": 1},
}


def written(image: Image.Image, **how: Any) -> bytes:
    file = io.BytesIO()
    image.save(file, "JPEG", **how)
    return file.getvalue()


@pytest.fixture(scope="module")
def noise() -> Image.Image:
    """Pixels that repeat nowhere."""
    return Image.effect_noise((203, 151), 60).convert("RGB")


@pytest.mark.parametrize("sort", SORTS)
def test_what_is_cut_is_missed_though_an_end_is_put_behind_it(sort: str, noise: Image.Image) -> None:
    whole = written(noise, **SORTS[sort])
    check_pixels(whole)
    for cut in (16, 50, len(whole) // 3):
        with pytest.raises((ValueError, OSError)):
            check_pixels(whole[: -2 - cut] + END)


@pytest.mark.parametrize("sort", SORTS)
def test_a_sound_image_without_any_detail_is_taken(sort: str) -> None:
    for colour in ("black", "white", "#c8b45a"):
        for size in ((1, 1), (16, 16), (203, 151)):
            check_pixels(written(Image.new("RGB", size, colour), **SORTS[sort]))
    check_pixels(written(Image.linear_gradient("L")))


@pytest.mark.parametrize("lenient", [False, True])
def test_what_lies_behind_the_image_is_not_looked_at(
    noise: Image.Image, monkeypatch: pytest.MonkeyPatch, lenient: bool
) -> None:
    """Cameras put a second image there, or the seconds before it as a film; the PDF renderer is lenient."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", lenient)
    whole = written(noise)
    check_pixels(whole + written(noise) + b"\x00" * 100)
    check_pixels(whole[:-2] + b"\xff" + END)


def test_a_scan_without_an_end_and_a_file_out_of_step_are_refused(noise: Image.Image) -> None:
    whole = written(noise)
    for broken in (whole[:-2], whole[:2] + b"\x00" + whole[2:], whole[:20], END):
        with pytest.raises((ValueError, OSError)):
            check_pixels(broken)


def test_half_a_photo_is_refused_with_a_sentence(noise: Image.Image, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where the PDF renderer has let incomplete images pass."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    whole = written(noise)
    with refused(InvalidInput, "damaged or incomplete"):
        made_anew(whole[: len(whole) // 2] + END, "image/jpeg", most_pixels=10**6)
