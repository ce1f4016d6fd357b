"""Photos through the API: kept once, shown by their digest, named by patches, printed by the certificate."""

import hashlib
import json
import os
from dataclasses import replace
from io import BytesIO
from typing import Any
from uuid import UUID

import pikepdf
import pytest
from pypdf import PdfReader
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from uuid6 import uuid7
from werkzeug.test import TestResponse

from service.store.session import writing
from service.usecases.keeping import checks
from tests import pictures
from tests.api import Api, operator_of, problem
from tests.pictures import MARK, notes, photo, pixels, written
from tests.said import said

pytestmark = [pytest.mark.one_database, pytest.mark.also_outside]

LATE = "2026-11-25T17:00:00Z"
NO_PHOTO = "01a213d1-0000-7000-8000-000000000000"


def send(
    api: Api,
    job: Any,
    content: bytes,
    kind: str = "image/jpeg",
    *,
    role: str = "installer",
    named: str = "",
    **query: str,
) -> TestResponse:
    """A photo of a job, as a phone sends it: under an id of its own making."""
    sent = {"Authorization": f"Bearer {api.key(role)}", "Content-Type": kind}
    path = address(job, named or str(uuid7()))
    return api.client.put(path, data=content, headers=sent, query_string=query)


def address(job: Any, photo_id: str) -> str:
    return f"/v1/jobs/{job['id']}/photos/{photo_id}"


def listed(api: Api, job: Any) -> list[dict[str, Any]]:
    return api.send("GET", f"/v1/jobs/{job['id']}/photos", role="sales").json["photos"]


@pytest.fixture(scope="module")
def job(app: Any) -> Any:
    """A job that nothing is kept of: for what is refused."""
    return Api(app).job()


def test_a_photo_is_kept_and_given_out_by_its_id(api: Api) -> None:
    job, named = api.job(), str(uuid7())
    answer = send(api, job, photo(), named=named)
    assert answer.status_code == 200, answer.text
    kept = answer.json
    assert kept["id"] == named
    assert (kept["width_px"], kept["height_px"]) == (96, 64)
    assert kept["taken_at"] == "2026-11-25T09:00:30Z"
    assert (kept["latitude"], kept["longitude"]) == (48.2084722, 16.3670139)
    file = api.send("GET", address(job, named), role="sales")
    assert (file.status_code, file.content_type) == (200, "image/jpeg")
    assert hashlib.sha256(file.data).hexdigest() == kept["sha256"]
    assert kept["size_bytes"] == len(file.data)
    assert MARK in photo()
    assert MARK not in file.data
    assert file.headers["ETag"] == f'"{kept["sha256"]}"'
    again = api.send("GET", address(job, named), role="sales", If_None_Match=file.headers["ETag"])
    assert (again.status_code, again.data) == (304, b"")
    assert listed(api, job) == [kept]


@pytest.mark.both_databases
def test_the_camera_s_notes_are_nowhere_in_the_database(api: Api) -> None:
    send(api, api.job(), photo(shade=3))
    with operator_of(api.app) as database, writing(database) as connection:
        rows = connection.execute(text("SELECT * FROM photos")).all()
        answers = connection.execute(text("SELECT * FROM answers")).all()
    assert rows
    assert MARK.decode() not in str([*rows, *answers])


def test_a_time_that_has_not_come_is_not_known(api: Api) -> None:
    """A camera's clock that runs ahead: what nobody can have seen is not kept as when it was taken."""
    job, ahead = api.job(), notes(time="2199:11:25 08:00:00")
    send(api, job, written(pixels(), exif=ahead))
    (kept,) = listed(api, job)
    assert kept["taken_at"] is None
    assert kept["latitude"] is not None


def test_the_same_once_more_is_one_photo_and_other_bytes_under_its_id_are_refused(api: Api) -> None:
    job, named = api.job(), str(uuid7())
    first, second = (send(api, job, photo(), named=named, caption="A knot") for _ in range(2))
    assert (first.status_code, second.status_code) == (200, 200)
    assert first.json == second.json
    assert (
        problem(send(api, job, photo(shade=9), named=named, caption="A knot"), 409)["code"]
        == "photos.another"
    )
    assert problem(send(api, job, photo(), named=named, caption="Another"), 409)["code"] == "photos.another"
    assert listed(api, job) == [first.json]


def test_an_id_is_a_photo_of_its_job_alone(api: Api) -> None:
    one, other, named = api.job(), api.job(), str(uuid7())
    assert send(api, one, photo(), named=named).status_code == 200
    assert send(api, other, photo(shade=9), named=named).status_code == 200
    assert listed(api, one)[0]["sha256"] != listed(api, other)[0]["sha256"]


def test_a_photo_may_be_of_a_part_and_say_what_it_shows(api: Api) -> None:
    job = api.job()
    part = job["cavities"][0]["label"]
    kept = send(api, job, photo(), cavity=part, caption="Corner, lower left").json
    assert (kept["cavity"], kept["caption"]) == (part, "Corner, lower left")
    refused = problem(send(api, job, photo(), cavity="Nowhere"), 422)
    assert refused["errors"][0]["pointer"] == "/cavity"
    assert send(api, job, photo(), colour="grey").status_code == 422


@pytest.mark.both_databases
def test_another_firm_s_photos_are_not_there(api: Api) -> None:
    job, stranger = api.job(), Api(api.app, firm="other")
    kept = send(api, job, photo()).json
    assert stranger.send("GET", address(job, kept["id"]), role="sales").status_code == 404
    assert stranger.send("GET", f"/v1/jobs/{job['id']}/photos", role="sales").status_code == 404
    assert send(stranger, job, photo()).status_code == 404
    assert api.send("GET", address(job, NO_PHOTO), role="sales").status_code == 404


def test_only_those_on_site_and_the_office_add_photos(api: Api, job: Any) -> None:
    for role in ("sales", "signatory"):
        assert send(api, job, photo(), role=role).status_code == 403
    assert send(api, api.job(), photo(), role="office").status_code == 200


@pytest.mark.parametrize("name", pictures.OF_ANOTHER_KIND)
def test_another_kind_is_415(api: Api, job: Any, name: str) -> None:
    answer = send(api, job, *pictures.OF_ANOTHER_KIND[name])
    assert (answer.status_code, answer.content_type) == (415, "application/problem+json")
    assert "image" in answer.json["detail"]
    assert listed(api, job) == []


@pytest.mark.parametrize("name", pictures.UNSOUND)
def test_an_unsound_image_is_422(api: Api, job: Any, name: str) -> None:
    answer = send(api, job, *pictures.UNSOUND[name])
    assert (answer.status_code, answer.content_type) == (422, "application/problem+json")
    (error,) = answer.json["errors"]
    assert error["pointer"] == ""
    assert "image" in error["detail"].lower()
    assert listed(api, job) == []


def test_a_photo_may_be_larger_than_other_bodies_but_not_without_limit(api: Api, job: Any) -> None:
    settings = api.app.extensions["settings"]
    # Random bytes behind the picture stand for a camera's own data.
    large = photo(shade=1) + os.urandom(settings.body_limit_bytes)
    assert send(api, api.job(), large).status_code == 200
    larger = photo() + bytes(settings.photo_limit_bytes)
    answer = send(api, job, larger)
    assert (answer.status_code, answer.content_type) == (413, "application/problem+json")
    assert listed(api, job) == []


@pytest.mark.both_databases
def test_a_job_has_only_so_many_photos(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    few = replace(api.app.extensions["settings"], photo_limit=2)
    monkeypatch.setitem(api.app.extensions, "settings", few)
    job = api.job()
    ids = [str(uuid7()) for _ in range(3)]
    statuses = [send(api, job, photo(), named=each).status_code for each in ids]
    assert statuses == [200, 200, 409]
    # One that is there already takes no room.
    assert send(api, job, photo(), named=ids[0]).status_code == 200
    assert len(listed(api, job)) == 2


@pytest.mark.both_databases
def test_a_closed_job_takes_no_photos(api: Api) -> None:
    job = api.job()
    with operator_of(api.app) as database, writing(database) as connection:
        connection.execute(text("UPDATE jobs SET state = 'closed' WHERE number = :n"), {"n": job["number"]})
    assert send(api, job, photo()).status_code == 409


@pytest.mark.both_databases
def test_a_kept_photo_cannot_be_changed_below_the_service(api: Api) -> None:
    send(api, api.job(), photo())
    for change in ("UPDATE photos SET latitude = 0", "DELETE FROM photos"):
        with (
            operator_of(api.app) as database,
            pytest.raises(DBAPIError, match="never changed"),
            writing(database) as connection,
        ):
            connection.execute(text(change))


@pytest.mark.both_databases
@pytest.mark.inside_alone
def test_a_photo_that_is_not_the_one_taken_in_is_found(api: Api) -> None:
    job = api.job()
    send(api, job, photo())
    with operator_of(api.app) as database:
        sqlite = database.dialect.name == "sqlite"
        before = checks.verify(database)
        with writing(database) as connection:
            connection.execute(
                text(
                    "INSERT INTO photos (job_id, id, sha256, sent_sha256, firm_id, content, size_bytes,"
                    " width_px, height_px, received_at, key_id) SELECT job_id, :id, :digest, :digest,"
                    " firm_id, content, size_bytes, 1, 1, received_at, key_id FROM photos LIMIT 1"
                ),
                {"digest": "0" * 64, "id": UUID(NO_PHOTO).hex if sqlite else NO_PHOTO},
            )
        after = checks.verify(database)
    assert not [fault for fault in map(said, before.faults) if "photo" in fault]
    altered, unsealed = [fault for fault in map(said, after.faults) if "photo" in fault]
    assert altered.endswith(f"the photo {NO_PHOTO} is not the one that was stored.")
    assert unsealed.endswith(f"the photo {NO_PHOTO} was never sealed: it did not come through the service.")
    assert after.contents.files == before.contents.files + 1


def record_in(pdf: bytes) -> Any:
    """The record that a certificate carries."""
    with pikepdf.open(BytesIO(pdf)) as file:
        (attached,) = file.attachments.values()
        return json.loads(attached.get_file().read_bytes())


def worked_with(api: Api, names: list[str]) -> Any:
    """A job whose crew did everything, and noted patches of its own that name these photos."""
    job = api.worked()
    for place, name in enumerate(names, start=1):
        made = {"cavity": job["cavities"][0]["label"], "tag": f"X{place}", "happened_at": LATE, "by": "Alex"}
        size = {"width_mm": 60, "height_mm": 60}
        hole = {"kind": "hole", "id": str(uuid7()), "purpose": "service", "bay": 1, **size, **made}
        patch = {"kind": "patch", "id": str(uuid7()), "photos": [name], **size, **made}
        patch |= {"width_mm": 200, "height_mm": 200}
        assert api.record(job, [hole, patch]).status_code == 201
    return job


def test_the_certificate_prints_the_photos_that_patches_name_and_those_of_details(api: Api) -> None:
    shared, patch, detail = (str(uuid7()) for _ in range(3))
    job = worked_with(api, [shared, patch, shared, NO_PHOTO])
    listed_before = api.preview(job).json["photos_awaited"]
    assert [each["id"] for each in listed_before] == [shared, patch, shared, NO_PHOTO]
    label = job["cavities"][0]["label"]
    assert {(*each["cavities"], each["by"]) for each in listed_before} == {(label, "Alex")}
    # The photos come after the entries that name them, a detail in between.
    taken = {detail: photo(60), patch: photo(50), shared: photo(40)}
    kept = {name: send(api, job, content, named=name).json["sha256"] for name, content in taken.items()}
    preview = api.preview(job).json
    assert [each["id"] for each in preview["photos_awaited"]] == [NO_PHOTO]
    issued = api.issue(job)
    assert issued.status_code == 201, issued.text
    pdf = api.send("GET", f"{issued.headers['Location']}/document", role="sales").data
    record = record_in(pdf)
    assert [(each["id"], each["tags"]) for each in record["photos"]] == [
        (shared, ["X1", "X3"]),
        (patch, ["X2"]),
        (detail, []),
    ]
    assert record["photos"][0]["taken_at"] == "2026-11-25T09:00:30Z"
    # Where it was taken is the client's address: it is printed, but does not stand in the record.
    assert "latitude" not in record["photos"][0]
    assert (record["photos"][0]["width_px"], record["photos"][0]["height_px"]) == (96, 64)
    with pikepdf.open(BytesIO(pdf)) as file:
        printed = [
            hashlib.sha256(each.read_raw_bytes()).hexdigest()
            for each in file.objects
            if isinstance(each, pikepdf.Stream) and each.get("/Subtype") == "/Image"
        ]
    assert sorted(printed) == sorted(kept.values())
    words = "".join("".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())
    for digest in kept.values():
        assert f"SHA-256{digest}" in words
    assert "".join(["Patches", "over", "X1,", "X3"]) in words
    assert "48.20847°N,16.36701°E" in words


def test_a_certificate_keeps_the_photos_it_was_issued_with(api: Api) -> None:
    job = api.worked()
    first = api.issue(job).headers["Location"]
    send(api, job, photo(70))
    second = api.issue(job).headers["Location"]
    found = [record_in(api.send("GET", f"{path}/document", role="sales").data) for path in (first, second)]
    assert [len(record["photos"]) for record in found] == [0, 1]


def test_the_document_says_what_a_photo_may_be(api: Api) -> None:
    paths = api.client.get("/openapi.json").json["paths"]
    body = paths["/v1/jobs/{job_id}/photos/{photo_id}"]["put"]["requestBody"]
    assert set(body["content"]) == {"image/jpeg", "image/png"}
    assert "image/jpeg" in paths["/v1/jobs/{job_id}/photos/{photo_id}"]["get"]["responses"]["200"]["content"]


def test_a_png_and_a_jpeg_of_one_picture_are_two_photos(api: Api) -> None:
    job = api.job()
    as_png = send(api, job, written(pixels(), "PNG"), "image/png")
    as_jpeg = send(api, job, written(pixels()))
    assert (as_png.status_code, as_jpeg.status_code) == (200, 200)
    assert as_png.json["sha256"] != as_jpeg.json["sha256"]
    assert as_png.json["taken_at"] is as_png.json["latitude"] is None


def test_what_scaling_a_photo_down_loses_travels_beside_it(api: Api) -> None:
    job = api.job()
    beside = {"taken_at": "2026-11-25T07:30:00Z", "latitude": "48.2", "longitude": "16.4"}
    scaled = send(api, job, written(pixels()), **beside).json
    assert (scaled["taken_at"], scaled["latitude"], scaled["longitude"]) == (
        "2026-11-25T07:30:00Z",
        48.2,
        16.4,
    )
    # What the file itself says goes before it.
    assert send(api, job, photo(), **beside).json["taken_at"] == "2026-11-25T09:00:30Z"
    for half in ({"latitude": "48.2"}, {"longitude": "16.4"}, {"latitude": "91", "longitude": "0"}):
        assert send(api, job, photo(), **half).status_code == 422


def test_photos_that_have_not_arrived_are_listed_before_issue(api: Api) -> None:
    job, named = api.job(), str(uuid7())
    note = {"kind": "note", "id": str(uuid7()), "happened_at": "2026-11-25T09:00:00Z", "by": "Crew"}
    answer = api.record(job, [{**note, "remark": "Torn membrane.", "photos": [named]}])
    assert answer.status_code == 201, answer.text
    before = api.preview(job)
    assert before.json["photos_awaited"] == [{"id": named, "entry": note["id"], "by": "Crew", "cavities": []}]
    assert send(api, job, photo(), named=named).status_code == 200
    after = api.preview(job)
    assert after.json["photos_awaited"] == []
    assert after.headers["ETag"] != before.headers["ETag"]
