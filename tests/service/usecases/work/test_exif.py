"""What of a camera's notes is kept, and what is not known."""

from datetime import UTC, datetime

import pytest
from PIL.Image import Exif

from service.usecases.work.exif import place, taken_at
from tests.pictures import notes, notes_by_hand


def read(content: bytes) -> Exif:
    found = Exif()
    found.load(b"Exif\x00\x00" + content)
    return found


def test_notes_by_hand_are_read_as_the_standard_says() -> None:
    found = read(notes_by_hand())
    assert taken_at(found) == datetime(2026, 7, 1, 13, 30, tzinfo=UTC)
    # 33 + 51/60 + 24.12/3600 and 151 + 12/60 + 55.8/3600.
    assert place(found) == (-33.8567, 151.2155)


@pytest.mark.parametrize(
    "written",
    [
        {"offset": ""},
        {"offset": "local"},
        {"time": "0000:00:00 00:00:00"},
        {"time": "    :  :     :  :  "},
        {"time": "2026-11-25 10:00:30"},
        {"time": "2026:13:25 10:00:30"},
        {"time": "1970:01:01 00:00:00"},
        {"time": "0001:01:01 00:00:00", "offset": "+14:00"},
        {"time": "9999:12:31 23:59:59", "offset": "-12:00"},
    ],
    ids=str,
)
def test_a_time_without_its_offset_or_out_of_this_age_is_not_known(written: dict[str, str]) -> None:
    assert taken_at(notes(**written)) is None


@pytest.mark.parametrize(
    ("offset", "hour"), [("+01:00", 9), ("-05:00", 15), ("+00:00", 10), ("Z", 10), ("+05:30", 4)]
)
def test_a_time_is_told_in_utc(offset: str, hour: int) -> None:
    found = taken_at(notes(offset=offset))
    assert found is not None
    assert (found.hour, found.tzinfo) == (hour, UTC)


@pytest.mark.parametrize(
    ("latitude", "longitude", "expected"),
    [
        (("N", (0.0, 0.0, 0.0)), ("E", (0.0, 0.0, 0.0)), (0.0, 0.0)),
        (("S", (90.0, 0.0, 0.0)), ("W", (180.0, 0.0, 0.0)), (-90.0, -180.0)),
        (("N", (48.5, 0.0, 0.0)), ("W", (16.0, 30.6, 0.0)), (48.5, -16.51)),
    ],
)
def test_a_place_has_its_signs(latitude: object, longitude: object, expected: tuple[float, float]) -> None:
    assert place(notes(latitude=latitude, longitude=longitude)) == expected


@pytest.mark.parametrize(
    "latitude",
    [
        ("N", (90.0, 0.0, 1.0)),
        ("", (48.0, 12.0, 30.5)),
        ("north", (48.0, 12.0, 30.5)),
        ("N", (48.0, 12.0)),
        ("N", ((0, 0), (0, 0), (0, 0))),
        ("N", ((48, 0), (0, 1), (0, 1))),
        ("N", (180.0, 0.0, 0.0)),
    ],
    ids=str,
)
def test_a_place_that_cannot_be_is_not_known(latitude: object) -> None:
    assert place(notes(latitude=latitude)) == (None, None)
