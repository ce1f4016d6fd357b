"""Photos are listed without their content, read one by one, and erased with their place."""

from typing import Any
from uuid import UUID, uuid4

from service.store import photos
from service.store.contents import inside
from tests.stored import DIGEST, LATER, NOW, Site, moment

CONTENT = b"\xff\xd8 a picture"


def add(site: Site, **columns: Any) -> UUID:
    row = {
        "id": uuid4(),
        "sent_sha256": DIGEST,
        **dict(inside(columns.pop("content", CONTENT)), sha256=DIGEST),
        "width_px": 40,
        "height_px": 30,
        "latitude": 52.4,
        "longitude": 16.9,
        "received_at": NOW,
        **columns,
    }
    photos.add(site.connection, {**site.owned, **row})
    return row["id"]


def contents(site: Site, *ids: UUID) -> dict[UUID, bytes | None]:
    found = photos.some_of(site.connection, job_id=site.job_id, ids=ids)
    return {row["id"]: row["content"] and bytes(row["content"]) for row in found}


def test_photos_in_the_order_they_were_received(site: Site) -> None:
    third, first, second = (add(site, received_at=moment(hours)) for hours in (3, 1, 2))
    add(Site(site.connection))
    found = photos.of_job(site.connection, site.job_id)
    assert [row["id"] for row in found] == [first, second, third]
    assert all("content" not in row and row["size_bytes"] == len(CONTENT) for row in found)
    assert photos.count(site.connection, site.job_id) == 3


def test_an_id_is_a_photo_of_its_job_alone(site: Site) -> None:
    photo_id, other = uuid4(), Site(site.connection)
    add(site, id=photo_id, caption="Ours")
    add(other, id=photo_id, caption="Theirs", content=b"x")
    found = photos.find(site.connection, job_id=site.job_id, photo_id=photo_id)
    assert found
    assert (found["caption"], found["size_bytes"]) == ("Ours", len(CONTENT))
    assert photos.find(site.connection, job_id=site.job_id, photo_id=uuid4()) is None
    assert contents(other, photo_id, uuid4()) == {photo_id: b"x"}


def test_erasing_takes_picture_and_place_and_leaves_the_digest(site: Site) -> None:
    photo_id, other = add(site), Site(site.connection)
    kept = add(other)
    for at in (NOW, LATER):
        photos.erase(site.connection, site.job_id, at)
    found = photos.find(site.connection, job_id=site.job_id, photo_id=photo_id)
    assert found
    assert (found["size_bytes"], found["latitude"], found["longitude"]) == (None, None, None)
    assert (found["erased_at"], found["sha256"]) == (NOW, DIGEST)
    assert contents(site, photo_id) == {photo_id: None}
    assert contents(other, kept) == {kept: CONTENT}


def test_whole_photos_come_one_by_one(site: Site) -> None:
    ids = sorted((add(site), add(site)), key=str)
    found = list(photos.whole(site.connection, site.job_id))
    assert [row["id"] for row in found] == ids
    assert all(bytes(row["content"] or b"") == CONTENT for row in found)
