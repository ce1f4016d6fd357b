"""An archive is complete, always the same, and can be checked without the service."""

import hashlib
import io
import json
import zipfile
from typing import Any
from uuid import UUID, uuid4

import pytest
import rfc8785
from flask import Flask
from sqlalchemy import Engine, select

from service.store.session import reading
from service.store.tables import metadata
from tests.api import Api, problem
from tests.full_job import full_job

pytestmark = [
    pytest.mark.one_database,
    pytest.mark.also_outside,
    pytest.mark.usefixtures("papers_plain"),
]

ZEROS = "0" * 64
UNSEALED = ("latitude", "longitude", "erased_at")


@pytest.fixture(scope="module")
def job(app: Flask) -> Any:
    """A full job after another one: its certificates have a neighbour before them."""
    api = Api(app)
    api.issue(api.worked())
    return full_job(api)


def archive_of(api: Api, job: Any) -> bytes:
    """A job's archive, as the office gets it."""
    with api.send("GET", f"/v1/jobs/{job['id']}/archive") as answer:
        assert answer.status_code == 200, answer.text
        assert answer.content_type == "application/zip"
        assert answer.headers["ETag"] == f'"{sha256(answer.data)}"'
        assert f"{job['number']}.zip" in answer.headers["Content-Disposition"]
        return answer.data


@pytest.fixture
def members(api: Api, job: Any) -> dict[str, bytes]:
    """The members of the job's archive, read by the library's own reader."""
    with zipfile.ZipFile(io.BytesIO(archive_of(api, job))) as file:
        assert file.testzip() is None
        return {name: file.read(name) for name in file.namelist()}


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def numbers(members: dict[str, bytes]) -> list[str]:
    """The certificates' numbers."""
    return [row["number"] for row in json.loads(members["ledger.json"])["certificates"]]


def supplements(members: dict[str, bytes]) -> list[str]:
    """The supplements' numbers."""
    return [row["number"] for row in json.loads(members["ledger.json"])["supplements"]]


def test_everything_is_in_it_and_named_by_its_digest(members: dict[str, bytes], job: Any) -> None:
    first, second = numbers(members)
    (photo,) = json.loads(members["ledger.json"])["photos"]
    accepted, withdrawn = supplements(members)
    assert list(members) == [
        "README.txt",
        "record.schema.json",
        "quote.json",
        "ledger.json",
        f"certificates/{first}/record.json",
        f"certificates/{second}/record.json",
        *sorted(f"certificates/{number}/certificate.pdf" for number in (first, second)),
        f"supplements/{withdrawn}/2/crew-sheet.pdf",
        "quote.pdf",
        f"supplements/{accepted}/2/supplement.pdf",
        f"photos/{photo['id']}.jpg",
        "manifest.json",
    ]
    manifest = json.loads(members["manifest.json"])
    assert (manifest["format"], manifest["firm"], manifest["job"]) == (
        "baywright-archive-1",
        "demo",
        job["number"],
    )
    assert {each["name"]: (each["bytes"], each["sha256"]) for each in manifest["members"]} == {
        name: (len(content), sha256(content)) for name, content in members.items() if name != "manifest.json"
    }


def test_documents_are_the_ones_that_were_issued(api: Api, members: dict[str, bytes], job: Any) -> None:
    paths = {
        "quote.pdf": f"/v1/quotes/{job['quote_id']}/document",
        # The sheet as it is by the last step of a supplement.
        f"supplements/{supplements(members)[1]}/2/crew-sheet.pdf": f"/v1/jobs/{job['id']}/document",
    }
    for row in json.loads(members["ledger.json"])["certificates"]:
        paths[f"certificates/{row['number']}/certificate.pdf"] = f"/v1/certificates/{row['id']}/document"
        assert sha256(members[f"certificates/{row['number']}/record.json"]) == row["record_sha256"]
    for name, path in paths.items():
        assert members[name] == api.send("GET", path).data
    (photo,) = json.loads(members["ledger.json"])["photos"]
    assert sha256(members[f"photos/{photo['id']}.jpg"]) == photo["sha256"]


def test_the_same_job_gives_the_same_bytes(api: Api, job: Any) -> None:
    archive = archive_of(api, job)
    assert archive_of(api, job) == archive
    path, tag = f"/v1/jobs/{job['id']}/archive", f'"{sha256(archive)}"'
    with api.send("GET", path, If_None_Match=tag) as answer:
        assert (answer.status_code, answer.data) == (304, b"")


def test_a_reader_can_follow_the_chains_by_hand(members: dict[str, bytes]) -> None:
    """As README.txt says, and with nothing of the service's own code."""
    ledger, quote = json.loads(members["ledger.json"]), json.loads(members["quote.json"])
    tables = {
        "assignment": "assignments",
        "entry": "entries",
        "concession": "concessions",
        "supplement_step": "supplement_steps",
        "photo": "photos",
        "certificate": "certificates",
        "supersession": "supersessions",
        "withdrawal": "withdrawals",
    }
    names = {"supersession": "certificate_id", "withdrawal": "certificate_id"}
    rows = {
        (kind, row[names.get(kind, "id")]): row for kind, table in tables.items() for row in ledger[table]
    }
    rows |= {(f"{row['kind']}_file", row["owner_id"]): row for row in ledger["files"]}
    end, before, followed = ZEROS, {}, 0
    for position, seal in enumerate(ledger["seals"], start=1):
        assert seal["position"] == position
        before[seal["kind"], seal["subject"]] = end
        end = sha256(f"{end}\n{seal['sha256']}".encode())
        assert seal["chain_sha256"] == end
        row = rows.get((seal["kind"], seal["subject"]))
        if row is not None:
            sealed = {name: value for name, value in row.items() if name not in UNSEALED}
            assert seal["sha256"] == sha256(rfc8785.dumps(sealed)), seal["kind"]
            followed += 1
    assert followed == len(rows)
    # The offer and the job, two supplements, and what was accepted: the quote and a supplement.
    assert len(ledger["seals"]) == followed + 2 + 2 + 2
    client = quote["client"]
    digest = sha256(bytes.fromhex(client["salt"]) + rfc8785.dumps(client["data"]))
    assert digest == client["sha256"]
    for row in ledger["certificates"]:
        record = json.loads(members[f"certificates/{row['number']}/record.json"])
        assert (record["client_sha256"], record["ledger_sha256"]) == (
            digest,
            before["certificate", row["id"]],
        )
        assert row["chain_sha256"] == sha256(f"{row['previous_sha256']}\n{row['record_sha256']}".encode())


def test_the_manifest_names_the_neighbours_in_the_firm_s_chain(
    api: Api, members: dict[str, bytes], job: Any
) -> None:
    chain = json.loads(members["manifest.json"])["chain"]
    first, second = numbers(members)
    assert chain[first]["before"]["chain_sha256"] == chain[first]["previous_sha256"]
    assert chain[first]["after"]["number"] == second
    assert chain[second]["after"] is None
    later = api.issue(api.worked()).json
    with zipfile.ZipFile(io.BytesIO(archive_of(api, job))) as file:
        chain = json.loads(file.read("manifest.json"))["chain"]
    assert chain[second]["after"] == {
        "number": later["number"],
        "record_sha256": later["record_sha256"],
        "chain_sha256": later["chain_sha256"],
    }


def test_no_key_and_no_secret_is_in_it(members: dict[str, bytes], database: Engine) -> None:
    with reading(database) as connection:
        digests = connection.execute(select(metadata.tables["keys"].c.digest)).scalars().all()
    whole = b"".join(members.values())
    assert digests
    assert not [digest for digest in digests if digest.encode() in whole]
    assert {frozenset(key) for key in json.loads(members["ledger.json"])["keys"]} == {
        frozenset(("id", "firm_id", "prefix", "label", "roles", "created_at"))
    }


def test_documents_that_nobody_asked_for_are_made_for_it(api: Api) -> None:
    job = api.job()
    with zipfile.ZipFile(io.BytesIO(archive_of(api, job))) as file:
        assert {"quote.pdf", "crew-sheet.pdf"} <= set(file.namelist())
        assert file.read("crew-sheet.pdf")[:5] == b"%PDF-"


def test_an_erased_job_has_an_archive_without_its_client(api: Api) -> None:
    job = full_job(api)
    name = job["client"]["name"].encode()
    assert name in archive_of(api, job)
    assert api.send("POST", f"/v1/jobs/{job['id']}/closure").status_code == 200
    path = f"/v1/quotes/{job['quote_id']}/erasure"
    answer = api.send("POST", path, {"reason": "Asked for."}, Idempotency_Key=str(uuid4()))
    assert answer.status_code == 200
    archive = archive_of(api, job)
    assert name not in archive
    with zipfile.ZipFile(io.BytesIO(archive)) as file:
        assert [each for each in file.namelist() if each.endswith((".pdf", ".jpg"))] == []
        quote, ledger = (json.loads(file.read(each)) for each in ("quote.json", "ledger.json"))
    assert (quote["client"]["data"], quote["client"]["salt"]) == (None, None)
    assert quote["client"]["erased_at"]
    assert all(row["sha256"] and row["erased_at"] for row in [*ledger["files"], *ledger["photos"]])


def test_only_the_office_of_its_own_firm_gets_it(api: Api, job: Any) -> None:
    path = f"/v1/jobs/{job['id']}/archive"
    for role in ("sales", "installer", "signatory"):
        problem(api.send("GET", path, role=role), 403)
    problem(Api(api.app, "other").send("GET", path), 404)
    problem(api.send("GET", f"/v1/jobs/{UUID(int=5)}/archive"), 404)
