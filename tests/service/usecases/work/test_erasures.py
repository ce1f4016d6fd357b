"""A client's personal data goes wherever it lies, and everything that was issued stands as before."""

import hashlib
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pikepdf
import pytest
from flask import Flask
from pypdf import PdfReader
from sqlalchemy import Engine, select, text
from sqlalchemy.exc import DBAPIError

from service.store.session import reading, writing
from service.store.tables import metadata
from service.usecases.keeping import checks
from service.usecases.work.clients import ERASED
from tests.api import NOW, PUBLIC, Api, problem, small_building
from tests.pictures import photo
from tests.said import said

pytestmark = [pytest.mark.also_outside, pytest.mark.usefixtures("papers_plain")]

NAME, MAIL, STREET = "Wilhelmine Sonderbar", "sonderbar@example.org", "Quittenweg 17b"
LATITUDE, LONGITUDE = "48.208472", "16.367013"
PERSONAL = (NAME, "Sonderbar", MAIL, STREET, LATITUDE, LONGITUDE)


def body(street: str = STREET) -> dict[str, Any]:
    """A building of a client whose name stands nowhere else."""
    site = {"address": street, "country": "AT", "built_year": 1974}
    attic = small_building()["cavities"][1:]
    return small_building(client={"name": NAME, "email": MAIL}, site=site, cavities=attic)


def erase(api: Api, quote_id: str, *, role: str = "office", key: str | None = None) -> Any:
    """An erasure, asked for by somebody with `role`."""
    path = f"/v1/quotes/{quote_id}/erasure"
    reason = {"reason": "Asked for by letter."}
    return api.send("POST", path, reason, role=role, Idempotency_Key=key or str(uuid4()))


def certified(api: Api, shade: int = 0, *, waits: bool = True, sheet: bool = True) -> tuple[Any, Any]:
    """A job with a photo, its documents and its certificate; every answer was kept by its key.

    Unless it `waits`, the certificate's file is still to be made; without its `sheet` nobody asked for that.
    """
    job = api.worked(body())
    sent = {"Authorization": f"Bearer {api.key('installer')}", "Content-Type": "image/jpeg"}
    path = f"/v1/jobs/{job['id']}"
    kept = api.client.put(
        f"{path}/photos/{uuid4()}", data=photo(shade), headers={**sent, "Idempotency-Key": str(uuid4())}
    )
    assert kept.status_code == 200
    assert not sheet or api.send("GET", f"{path}/document", role="sales").status_code == 200
    issued = api.issue(job).json
    if waits:
        api.wait()
    return job, issued


def everything(database: Engine) -> str:
    """All that the database holds, as text; PDFs are looked into elsewhere."""
    with reading(database) as connection:
        return str([connection.execute(select(table)).all() for table in metadata.sorted_tables])


def files_of(database: Engine) -> list[Any]:
    """Every file and photo without its content."""
    with reading(database) as connection:
        return [
            connection.execute(text(f"SELECT sha256, content IS NULL, erased_at FROM {table}")).all()
            for table in ("files", "photos")
        ]


def test_nothing_of_the_client_is_left_in_any_table(api: Api, database: Engine) -> None:
    key = str(uuid4())
    quote = api.send("POST", "/v1/quotes", body(), role="sales", Idempotency_Key=key).json
    for step in ("offer", "withdrawal"):
        api.send("POST", f"/v1/quotes/{quote['id']}/{step}", role="sales", Idempotency_Key=str(uuid4()))
    job, _ = certified(api)
    held = everything(database)
    assert {each for each in PERSONAL if each not in held} == set()
    for quote_id in (quote["id"], job["quote_id"]):
        assert erase(api, quote_id).status_code == 200
    held = everything(database)
    assert {each for each in PERSONAL if each in held} == set()
    for rows in files_of(database):
        assert rows
        assert all(erased and erased_at for _, erased, erased_at in rows)
    assert checks.verify(database).faults == ()


def test_the_file_of_sqlite_does_not_keep_what_was_erased(
    api: Api, database_url: str, database: Engine
) -> None:
    job, _ = certified(api)
    assert erase(api, job["quote_id"]).status_code == 200
    if database.dialect.name == "postgresql":
        pytest.skip("PostgreSQL keeps old rows until VACUUM, in files that only its server reads")
    path = Path(database_url.removeprefix("sqlite:///"))
    held = b"".join(each.read_bytes() for each in path.parent.glob(f"{path.name}*"))
    assert job["number"].encode() in held
    assert [each for each in PERSONAL if each.encode() in held] == []


def test_what_was_issued_is_answered_as_before_without_the_client(api: Api) -> None:
    job, issued = certified(api, sheet=False)
    quote_path, job_path = f"/v1/quotes/{job['quote_id']}", f"/v1/jobs/{job['id']}"
    certificate_path = f"/v1/certificates/{issued['id']}"
    paths = (quote_path, job_path, f"{job_path}/entries", f"{job_path}/assessment", certificate_path)
    before = [api.send("GET", path).json for path in paths]
    answer = erase(api, job["quote_id"])
    assert answer.json["client"] == {"name": ERASED}
    assert answer.json["site"] == {"address": ERASED, "country": "AT", "built_year": 1974}
    after = [api.send("GET", path).json for path in paths]
    erased_at = after[0]["client_erased_at"]
    assert erased_at
    for old in before[:2]:
        assert (old["client"], old["client_erased_at"]) == ({"name": NAME, "email": MAIL}, None)
        old["client"], old["site"]["address"] = {"name": ERASED}, ERASED
        old["client_erased_at"] = erased_at
    before[0]["acceptance"] |= {"accepted_by": None, "how": None}
    before[1]["state"] = "closed"
    before[4]["file_erased_at"] = erased_at
    assert after == before
    public = api.client.get(f"/verify/{issued['number']}", headers={"Accept": "application/json"}).json
    assert (public["state"], public["file_sha256"]) == ("in_force", before[4]["file_sha256"])
    assert public["record_sha256"] == issued["record_sha256"]


def test_the_record_in_a_certificate_names_nobody(api: Api) -> None:
    _, issued = certified(api, waits=False, sheet=False)
    document = api.send("GET", f"/v1/certificates/{issued['id']}/document").data
    with pikepdf.open(BytesIO(document)) as file:
        (attached,) = file.attachments.values()
        record = attached.get_file().read_bytes()
    assert hashlib.sha256(record).hexdigest() == issued["record_sha256"]
    assert [each for each in PERSONAL if each in record.decode()] == []
    printed = " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(document)).pages).split())
    assert NAME in printed
    assert STREET in printed


@pytest.mark.also_outside
def test_documents_and_photos_are_gone_and_say_so(api: Api) -> None:
    job, issued = certified(api, shade=20)
    link = api.send("POST", f"/v1/certificates/{issued['id']}/links", {"days": 3}, role="sales").json
    photo_id = api.send("GET", f"/v1/jobs/{job['id']}/photos").json["photos"][0]["id"]
    erase(api, job["quote_id"])
    for path in (
        f"/v1/quotes/{job['quote_id']}/document",
        f"/v1/jobs/{job['id']}/document",
        f"/v1/certificates/{issued['id']}/document",
    ):
        assert "erased on" in problem(api.send("GET", path), 410)["detail"]
    assert "erased" in problem(api.send("GET", f"/v1/jobs/{job['id']}/photos/{photo_id}"), 410)["detail"]
    page = link["url"].removeprefix(PUBLIC)
    shown = api.client.get(page)
    assert shown.status_code == 200
    assert "The document was erased here" in shown.text
    assert "Open the document" not in shown.text
    assert problem(api.client.get(f"{page}/document"), 410)
    (shown,) = api.send("GET", f"/v1/jobs/{job['id']}/photos").json["photos"]
    assert (shown["latitude"], shown["longitude"], shown["size_bytes"]) == (None, None, None)
    assert shown["erased_at"]


def test_a_photo_of_another_job_is_still_there(api: Api) -> None:
    job, _ = certified(api, shade=30, waits=False, sheet=False)
    other, _ = certified(api, shade=30, waits=False, sheet=False)
    photo_id = api.send("GET", f"/v1/jobs/{job['id']}/photos").json["photos"][0]["id"]
    erase(api, other["quote_id"])
    assert api.send("GET", f"/v1/jobs/{job['id']}/photos/{photo_id}").status_code == 200
    erase(api, job["quote_id"])
    assert api.send("GET", f"/v1/jobs/{job['id']}/photos/{photo_id}").status_code == 410


def test_a_document_that_was_never_asked_for_is_not_made_any_more(api: Api, database: Engine) -> None:
    job = api.worked(body("Mispelgasse 3"))
    api.issue(job)
    assert "Mispelgasse 3" in everything(database)
    erase(api, job["quote_id"])
    problem(api.send("GET", f"/v1/jobs/{job['id']}/document"), 410)
    assert "Mispelgasse 3" not in everything(database)
    assert checks.verify(database).faults == ()


def test_an_erasure_while_a_document_is_made_is_not_undone_by_it(
    api: Api, database: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    from service.documents.papers import crew_sheet

    job = api.worked(body())
    api.issue(job)
    made = crew_sheet.pdf

    def slowly(facts: Any) -> bytes:
        content = made(facts)
        assert erase(api, job["quote_id"]).status_code == 200
        return content

    monkeypatch.setattr(crew_sheet, "pdf", slowly)
    problem(api.send("GET", f"/v1/jobs/{job['id']}/document"), 410)
    files = metadata.tables["files"]
    with reading(database) as connection:
        stored = connection.execute(select(files.c.kind).where(files.c.owner_id == UUID(job["id"]))).all()
    assert stored == []
    assert checks.verify(database).faults == ()


def test_what_is_under_way_is_not_erased(api: Api) -> None:
    offer = api.quote(body())
    path = f"/v1/quotes/{offer['id']}"
    api.send("POST", f"{path}/offer", role="sales")
    assert "withdraw it first" in problem(erase(api, offer["id"]), 409)["detail"]
    job = api.job(body())
    assert "certify or close it first" in problem(erase(api, job["quote_id"]), 409)["detail"]
    assert api.send("GET", f"/v1/jobs/{job['id']}").json["client"]["name"] == NAME
    api.send("POST", f"/v1/jobs/{job['id']}/closure")
    assert erase(api, job["quote_id"]).status_code == 200
    assert problem(erase(api, job["quote_id"]), 409)["detail"] == "The client's data was erased already."


def test_an_erased_draft_is_withdrawn_and_an_erased_job_is_closed(api: Api) -> None:
    draft = api.quote(body())
    assert erase(api, draft["id"]).json["state"] == "withdrawn"
    path = f"/v1/quotes/{draft['id']}"
    assert api.send("POST", f"{path}/offer", role="sales").status_code == 409
    assert api.send("PUT", path, body(), role="sales", If_Match='"2"').status_code == 409
    job, _ = certified(api, waits=False, sheet=False)
    erase(api, job["quote_id"])
    assert api.issue(job).status_code == 409


def test_only_the_office_erases_and_only_its_own_firms_clients(api: Api) -> None:
    draft = api.quote(body())
    assert erase(api, draft["id"], role="sales").status_code == 403
    assert erase(Api(api.app, "other"), draft["id"]).status_code == 404
    path = f"/v1/quotes/{draft['id']}/erasure"
    assert api.send("POST", path, {"reason": "No key."}).status_code == 400
    assert api.send("POST", path, {}, Idempotency_Key=str(uuid4())).status_code == 422
    assert api.send("GET", f"/v1/quotes/{draft['id']}").json["client"]["name"] == NAME


def test_a_kept_answer_is_erased_and_its_key_stays_taken(api: Api) -> None:
    key = str(uuid4())
    first = api.send("POST", "/v1/quotes", body(), role="sales", Idempotency_Key=key)
    again = api.send("POST", "/v1/quotes", body(), role="sales", Idempotency_Key=key)
    assert first.data == again.data
    erased = str(uuid4())
    answer = erase(api, first.json["id"], key=erased)
    assert erase(api, first.json["id"], key=erased).data == answer.data
    count = len(api.send("GET", "/v1/quotes?limit=200", role="sales").json["items"])
    problem(api.send("POST", "/v1/quotes", body(), role="sales", Idempotency_Key=key), 410)
    assert len(api.send("GET", "/v1/quotes?limit=200", role="sales").json["items"]) == count


@pytest.fixture(scope="module")
def both(app: Flask) -> None:
    """A job whose client was erased, and one whose client is there."""
    api = Api(app)
    job, _ = certified(api)
    erase(api, job["quote_id"])
    certified(api, sheet=False)


@pytest.mark.usefixtures("both")
@pytest.mark.parametrize(
    "change",
    [
        "UPDATE clients SET data = '{}' WHERE erased_at IS NULL",
        "UPDATE clients SET data = '{}', salt = '00' WHERE erased_at IS NOT NULL",
        "UPDATE clients SET data = NULL, salt = NULL, erased_at = '2026-01-01', sha256 = reason "
        "WHERE erased_at IS NULL",
        "UPDATE clients SET erased_at = '2026-01-01' WHERE erased_at IS NOT NULL",
        "DELETE FROM clients",
        "UPDATE files SET content = NULL",
        "UPDATE files SET erased_at = '2026-01-01' WHERE erased_at IS NULL",
        "UPDATE files SET content = NULL, erased_at = '2026-01-01', kind = 'x' WHERE erased_at IS NULL",
        "UPDATE photos SET content = NULL, erased_at = '2026-01-01' WHERE erased_at IS NULL",
    ],
)
def test_the_database_lets_nothing_but_an_erasure_through(database: Engine, change: str) -> None:
    with pytest.raises(DBAPIError), writing(database) as connection:
        connection.execute(text(change))


@pytest.mark.inside_alone
def test_an_erasure_by_hand_is_found(api: Api, database: Engine) -> None:
    job, issued = certified(api)
    files, clients = metadata.tables["files"], metadata.tables["clients"]
    with writing(database) as connection:
        connection.execute(
            files.update().where(files.c.owner_id == UUID(issued["id"])).values(content=None, erased_at=NOW)
        )
    name = f"Quote {job['quote_number']}"
    (fault,) = map(said, checks.verify(database).faults)
    file = f"the file of the certificate {issued['id']}"
    assert fault == f"{name}: {file} was erased, and not with its client's data."
    with writing(database) as connection:
        connection.execute(
            clients.update()
            .where(clients.c.quote_id == UUID(job["quote_id"]))
            .values(data=None, salt=None, erased_at=NOW)
        )
    faults = list(map(said, checks.verify(database).faults))
    file = f"the file of the quote {job['quote_id']}"
    assert f"{name}: {file} was not erased with its client's data." in faults
    assert any(
        fault.startswith(f"{name}: the erasure {job['quote_id']} was never sealed") for fault in faults
    )


@pytest.mark.inside_alone
def test_a_certificate_whose_client_is_erased_before_its_file_is_made_says_so(api: Api) -> None:
    """Nobody is told to look again for a file that cannot come any more, and no worker tries again."""
    api.wait()
    job, certificate = certified(api, shade=77, waits=False, sheet=False)
    erased = erase(api, job["quote_id"])
    assert erased.status_code == 200
    # The offer's file had not been made either; and a look whether the job is ready.
    assert api.wait() == 3
    assert api.wait(later=timedelta(days=9)) == 0
    address = f"/verify/{certificate['number']}"
    shown = api.client.get(address, headers={"Accept": "text/html"}).text
    assert "Its file was never made" in shown
    assert "Look again" not in shown
    told = api.client.get(address, headers={"Accept": "application/json"}).json
    assert (told["file_sha256"], told["file_erased_at"]) == (None, erased.json["client_erased_at"])
    assert api.send("GET", f"/v1/certificates/{certificate['id']}/document").status_code == 410
