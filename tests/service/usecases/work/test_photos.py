"""A photo is its job's; the same once more is the same, another under its id is not taken."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import Engine

from service.errors import Conflict, Erased, NotKnown
from service.store import photos as rows
from service.store.contents import inside
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.work import photos
from service.usecases.work.images import Picture
from service.usecases.work.photos import Sent, _same, _taken_at, _with_what_travelled_beside
from tests.stored import NOW, Site

SENT = Sent(id=uuid4(), content=b"as sent", media_type="image/jpeg", cavity="W1", caption="The patch")


def keep(own: Site, database: Engine) -> Any:
    row = {**own.owned, "id": SENT.id, "sent_sha256": SENT.sha256, **inside(b"kept")}
    sizes = {"width_px": 4, "height_px": 3, "received_at": NOW, "cavity": "W1", "caption": "The patch"}
    with writing(database) as connection:
        rows.add(connection, {**row, **sizes})
        return rows.find(connection, job_id=own.job_id, photo_id=SENT.id)


def test_a_photo_is_listed_and_given_out_as_it_is_kept(context: Context, own: Site, database: Engine) -> None:
    keep(own, database)
    (listed,) = photos.listed(context, own.job_id)["photos"]
    assert (listed["caption"], listed["size_bytes"]) == ("The patch", 4)
    assert not {"firm_id", "key_id", "sent_sha256", "place_sha256"} & listed.keys()
    with pytest.raises(NotKnown):
        photos.file(context, own.job_id, uuid4())
    with pytest.raises(NotKnown):
        photos.listed(context, uuid4())


def test_an_erased_photo_says_so(context: Context, own: Site, database: Engine) -> None:
    keep(own, database)
    with writing(database) as connection:
        rows.erase(connection, own.job_id, NOW)
    with pytest.raises(Erased):
        photos.file(context, own.job_id, SENT.id)
    (listed,) = photos.listed(context, own.job_id)["photos"]
    assert listed["size_bytes"] is None


@pytest.mark.parametrize("change", [{"content": b"other"}, {"cavity": "W2"}, {"caption": None}], ids=str)
def test_another_photo_under_the_same_id_is_refused(own: Site, database: Engine, change: Any) -> None:
    kept = keep(own, database)
    assert _same(kept, SENT)["caption"] == "The patch"
    with pytest.raises(Conflict):
        _same(kept, replace(SENT, **change))


def picture(**fields: Any) -> Picture:
    unknown = {"taken_at": None, "latitude": None, "longitude": None}
    return Picture(**{"content": b"", "width_px": 4, "height_px": 3, **unknown, **fields})


def test_what_the_file_says_goes_before_what_travelled_beside_it() -> None:
    beside = replace(SENT, taken_at=NOW, latitude=52.0, longitude=16.0)
    added = _with_what_travelled_beside(picture(), beside)
    assert (added.taken_at, added.latitude, added.longitude) == (NOW, 52.0, 16.0)
    own = picture(taken_at=datetime(2026, 1, 1, tzinfo=UTC), latitude=1.0, longitude=2.0)
    assert _with_what_travelled_beside(own, beside) == own
    assert _with_what_travelled_beside(picture(), SENT) == picture()


def test_a_camera_whose_clock_ran_far_ahead_is_not_believed() -> None:
    assert _taken_at(picture(taken_at=NOW), NOW) == NOW
    assert _taken_at(picture(taken_at=NOW + timedelta(days=400)), NOW) is None
    assert _taken_at(picture(), NOW) is None
