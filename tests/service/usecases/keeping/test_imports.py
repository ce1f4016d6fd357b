"""A job comes back from its archive as it was, or not at all."""

import hashlib
import io
import json
import shutil
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from sqlalchemy import Engine, func, select
from werkzeug.test import TestResponse

from service.api.firm_files import read_firm
from service.app import create_app
from service.demo.fixtures import FIRM
from service.errors import BaywrightError, Conflict, InvalidInput
from service.settings import Settings
from service.store import rows, tables
from service.store.session import reading, writing
from service.store.tables import metadata
from service.usecases.firm import firms
from service.usecases.keeping import checks, imports
from service.usecases.keeping.zipped import Writer
from tests.api import NOW, Api, operated
from tests.full_job import full_job
from tests.refusals import refused, told, words

pytestmark = [pytest.mark.also_outside, pytest.mark.usefixtures("papers_plain")]

Members = dict[str, bytes]
LATER = datetime(2036, 3, 1, 8, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def job(app: Flask) -> Any:
    """A full job with a certificate of another job before and after its own."""
    api = Api(app)
    api.issue(api.worked())
    job = full_job(api)
    api.issue(api.worked())
    return job


@pytest.fixture(scope="module")
def archive(app: Flask, job: Any) -> bytes:
    return _archive_of(Api(app), job)


def _archive_of(api: Api, job: Any) -> bytes:
    with api.send("GET", f"/v1/jobs/{job['id']}/archive") as answer:
        assert answer.status_code == 200, answer.text
        return answer.data


@pytest.fixture
def elsewhere_url(request: pytest.FixtureRequest, database_url: str, tmp_path: Path) -> str:
    """An empty migrated database of the same kind."""
    return _another(request, database_url, tmp_path)


def _another(request: pytest.FixtureRequest, database_url: str, folder: Path) -> str:
    if database_url.startswith("postgresql"):
        url: str = request.getfixturevalue("new_postgres")()
        return url
    path = folder / "elsewhere.sqlite3"
    shutil.copyfile(request.getfixturevalue("sqlite_template"), path)
    return f"sqlite:///{path}"


@pytest.fixture
def elsewhere(elsewhere_url: str) -> Iterator[Engine]:
    """That database as its operator sees it."""
    with operated(elsewhere_url) as engine:
        yield engine


@pytest.fixture(scope="module")
def empty(request: pytest.FixtureRequest, database_url: str, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Another one, for what is refused: it stays empty."""
    return _another(request, database_url, tmp_path_factory.mktemp("empty"))


@pytest.fixture
def untouched(empty: str) -> Iterator[Engine]:
    """That database as its operator sees it, before and after."""
    with operated(empty) as engine:
        assert not any(counts(engine).values())
        yield engine
        assert not any(counts(engine).values())


@pytest.fixture
def api_elsewhere(elsewhere_url: str, settings: Settings) -> Iterator[Api]:
    """The service on that database."""
    app = create_app(replace(settings, database_url=elsewhere_url))
    yield Api(app)
    app.extensions["database"].dispose()


def members_of(archive: bytes) -> Members:
    """An archive's members."""
    with zipfile.ZipFile(io.BytesIO(archive)) as file:
        return {name: file.read(name) for name in file.namelist()}


def packed(members: Members) -> bytes:
    """An archive of these members."""
    file = io.BytesIO()
    writer = Writer(file)
    for name, content in members.items():
        writer.add(name, content)
    writer.close()
    return file.getvalue()


def resealed(members: Members) -> Members:
    """The same members with a manifest that fits them: what a forger would do."""
    manifest = json.loads(members["manifest.json"])
    rest = {name: content for name, content in members.items() if name != "manifest.json"}
    manifest["members"] = [
        {"name": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in rest.items()
    ]
    return {**rest, "manifest.json": json.dumps(manifest).encode()}


def counts(database: Engine) -> dict[str, int]:
    """How many rows every table has."""
    with reading(database) as connection:
        return {
            table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
            for table in metadata.sorted_tables
        }


def restored(database: Engine, archive: bytes) -> imports.Imported:
    return imports.restore(database, io.BytesIO(archive), LATER)


def _without_links(answer: TestResponse) -> Any:
    """What is answered, but that crews have no links where no link comes back."""
    if not answer.is_json:
        return answer.data
    return {name: value for name, value in answer.json.items() if name != "before_start"}


def test_a_job_comes_back_as_it_was(
    api: Api, job: Any, archive: bytes, elsewhere: Engine, api_elsewhere: Api
) -> None:
    done = restored(elsewhere, archive)
    assert (done.firm, done.job, done.members) == ("demo", job["number"], len(members_of(archive)))
    assert checks.verify(elsewhere).faults == ()
    path = f"/v1/jobs/{job['id']}"
    certificates = [row["id"] for row in json.loads(members_of(archive)["ledger.json"])["certificates"]]
    (photo,) = api.send("GET", f"{path}/photos").json["photos"]
    for each in (
        path,
        f"{path}/document",
        f"{path}/entries",
        f"{path}/assessment",
        f"{path}/photos",
        f"{path}/photos/{photo['id']}",
        f"/v1/quotes/{job['quote_id']}",
        f"/v1/quotes/{job['quote_id']}/document",
        *(f"/v1/certificates/{each}" for each in certificates),
        *(f"/v1/certificates/{each}/document" for each in certificates),
    ):
        there, here = api.send("GET", each), api_elsewhere.send("GET", each)
        assert here.status_code == 200, each
        assert _without_links(here) == _without_links(there), each
        assert here.data != there.data or here.headers["ETag"] == there.headers["ETag"]
    assert _archive_of(api_elsewhere, job) == archive


def test_work_goes_on_after_its_numbers(
    job: Any, archive: bytes, elsewhere: Engine, elsewhere_url: str, api_elsewhere: Api
) -> None:
    restored(elsewhere, archive)
    last = json.loads(members_of(archive)["ledger.json"])["certificates"][-1]
    assert api_elsewhere.issue(job).status_code == 201
    (newest, *_) = sorted(_numbers(elsewhere), reverse=True)
    assert newest == f"{last['number'][:-5]}{last['serial'] + 1:05d}"
    assert checks.verify(elsewhere).faults == ()


def _numbers(database: Engine) -> list[str]:
    with reading(database) as connection:
        return list(connection.execute(select(metadata.tables["certificates"].c.number)).scalars())


def test_the_keys_that_came_with_it_open_nothing(
    api: Api, archive: bytes, elsewhere: Engine, api_elsewhere: Api
) -> None:
    restored(elsewhere, archive)
    headers = {"Authorization": f"Bearer {api.key('office')}"}
    assert api.client.get("/v1/jobs", headers=headers).status_code == 200
    assert api_elsewhere.client.get("/v1/jobs", headers=headers).status_code == 401
    assert Api(api_elsewhere.app).send("GET", "/v1/jobs").status_code == 200


def test_jobs_of_one_firm_come_back_one_after_the_other(
    api: Api, app: Flask, job: Any, archive: bytes, elsewhere: Engine
) -> None:
    every = [item["id"] for item in api.send("GET", "/v1/jobs").json["items"]]
    assert len(every) == 3
    # The newest first: what comes before it in the chain is not there yet.
    for job_id in every:
        restored(elsewhere, _archive_of(api, {"id": job_id}))
        assert checks.verify(elsewhere).faults == ()
    whole = checks.verify(elsewhere)
    assert (whole.quotes, whole.certificates) == (3, 4)


def test_an_erased_job_comes_back_without_its_client(api: Api, elsewhere: Engine, api_elsewhere: Api) -> None:
    job = full_job(api)
    body = {"reason": "Asked for."}
    api.send("POST", f"/v1/jobs/{job['id']}/closure")
    api.send("POST", f"/v1/quotes/{job['quote_id']}/erasure", body, Idempotency_Key=str(uuid4()))
    archive = _archive_of(api, job)
    restored(elsewhere, archive)
    assert checks.verify(elsewhere).faults == ()
    path = f"/v1/quotes/{job['quote_id']}"
    assert api_elsewhere.send("GET", path).data == api.send("GET", path).data
    assert api_elsewhere.send("GET", f"{path}/document").status_code == 410
    assert _archive_of(api_elsewhere, job) == archive


def test_what_is_there_already_is_not_imported_twice(archive: bytes, elsewhere: Engine) -> None:
    restored(elsewhere, archive)
    before = counts(elsewhere)
    with refused(Conflict, "already"):
        restored(elsewhere, archive)
    assert counts(elsewhere) == before


def test_another_firm_of_the_same_code_keeps_it_out(archive: bytes, elsewhere: Engine) -> None:
    firm = {
        "code": "demo",
        "data": {},
        "materials": [],
        "price_lists": [],
        "build_ups": [],
        "practices": [],
        "lances": [],
    }
    firms.load(elsewhere, firm, NOW)
    before = counts(elsewhere)
    with refused(Conflict, "another firm demo"):
        restored(elsewhere, archive)
    assert counts(elsewhere) == before


def test_what_a_firm_works_by_is_loaded_after_its_archive(archive: bytes, elsewhere: Engine) -> None:
    restored(elsewhere, archive)
    assert firms.load(elsewhere, read_firm(FIRM), NOW) > 0
    assert checks.verify(elsewhere).faults == ()


def test_numbers_that_are_taken_keep_it_out(archive: bytes, elsewhere: Engine) -> None:
    quote = json.loads(members_of(archive)["quote.json"])
    mine = {**rows.read(tables.quotes, quote["quote"]), "id": uuid4(), "state": "draft", "sealed": 0}
    with writing(elsewhere) as connection:
        rows.add_all(connection, tables.firms, [rows.read(tables.firms, quote["firm"])])
        rows.add_all(connection, tables.quotes, [mine])
    before = counts(elsewhere)
    with refused(Conflict, "cannot stand beside"):
        restored(elsewhere, archive)
    assert counts(elsewhere) == before


def change_json(member: str, change: Callable[[Any], None]) -> Callable[[Members], None]:
    """A change of a member's JSON."""

    def changed(members: Members) -> None:
        value = json.loads(members[member])
        change(value)
        members[member] = json.dumps(value).encode()

    return changed


def _record(members: Members) -> None:
    name = next(name for name in members if name.endswith("record.json"))
    members[name] = members[name].replace(b"A signatory", b"B signatory")


def _pdf(members: Members) -> None:
    members["quote.pdf"] += b"\n"


def _photo(members: Members) -> None:
    name = next(name for name in members if name.startswith("photos/"))
    members[name] += b"x"


TAMPERED: dict[str, Callable[[Members], None]] = {
    "an entry": change_json("ledger.json", lambda it: it["entries"][3].update(by="Another")),
    "an entry less": change_json("ledger.json", lambda it: it["entries"].pop()),
    "a withdrawal less": change_json("ledger.json", lambda it: it["withdrawals"].clear()),
    "a seal less": change_json("ledger.json", lambda it: it["seals"].pop()),
    "a concession": change_json("ledger.json", lambda it: it["concessions"][0].update(reason="Fine.")),
    "a price": change_json("quote.json", lambda it: it["quote"].update(total="1.00")),
    "a cavity": change_json("quote.json", lambda it: it["cavities"][0].update(mass_kg=1.0)),
    "the client": change_json("quote.json", lambda it: it["client"]["data"].update(name="Another")),
    "the salt": change_json("quote.json", lambda it: it["client"].update(salt="0" * 32)),
    "no hexadecimal": change_json("quote.json", lambda it: it["client"].update(salt="x" * 32)),
    "the job's state": change_json("ledger.json", lambda it: it["job"].update(state="certified")),
    "a place": change_json("ledger.json", lambda it: it["photos"][0].update(latitude=1.0)),
    "a record": _record,
    "a document": _pdf,
    "a photo": _photo,
}


@pytest.mark.one_database
@pytest.mark.parametrize("what", TAMPERED)
def test_a_tampered_archive_is_refused_by_its_manifest(what: str, archive: bytes, untouched: Engine) -> None:
    members = members_of(archive)
    TAMPERED[what](members)
    with refused(InvalidInput, "its SHA-256 is another"):
        restored(untouched, packed(members))


@pytest.mark.parametrize("what", TAMPERED)
def test_with_a_manifest_that_fits_it_is_refused_by_its_seals(
    what: str, archive: bytes, untouched: Engine
) -> None:
    members = members_of(archive)
    TAMPERED[what](members)
    with pytest.raises(InvalidInput) as error:
        restored(untouched, packed(resealed(members)))
    assert all(words(fault.detail).startswith("Quote ") for fault in error.value.faults)


def _elsewhere(name: str, column: str) -> Callable[[Members], None]:
    return change_json("ledger.json", lambda it: it[name][0].update({column: str(uuid4())}))


def _json_of(member: str, content: bytes) -> Callable[[Members], None]:
    return lambda members: members.update({member: content})


def _twice(suffix: str) -> Callable[[Members], None]:
    """The first name of a member's JSON once more at its end, with another value."""

    def changed(members: Members) -> None:
        name = next(name for name in members if name.endswith(suffix))
        first = next(iter(json.loads(members[name])))
        members[name] = members[name].rstrip()[:-1] + f',"{first}":null}}'.encode()

    return changed


def _moved(name: str, to: str) -> Callable[[Members], None]:
    return lambda members: members.update({to: members.pop(name)})


REFUSED: dict[str, tuple[Callable[[Members], None], str]] = {
    "another job": (_elsewhere("entries", "job_id"), "names something outside this job"),
    "another quote": (_elsewhere("seals", "quote_id"), "names something outside this job"),
    "another firm": (_elsewhere("concessions", "firm_id"), "names something outside this job"),
    "another key": (_elsewhere("entries", "key_id"), "names something outside this job"),
    "another owner": (_elsewhere("files", "owner_id"), "names something outside this job"),
    "another kind": (
        change_json("ledger.json", lambda it: it["files"][0].update(kind="../x")),
        "of no kind that there is",
    ),
    "no number": (
        change_json("ledger.json", lambda it: it["certificates"][0].update(number="../../etc")),
        "not of the form",
    ),
    "a draft": (change_json("quote.json", lambda it: it["quote"].update(state="draft")), "did not become"),
    "a column more": (
        change_json("ledger.json", lambda it: it["job"].update(colour="red")),
        "a row of jobs has these members",
    ),
    "a column of another kind": (
        change_json("quote.json", lambda it: it["quote"].update(version="one")),
        "quotes.version is not of its kind",
    ),
    "a part less": (change_json("ledger.json", lambda it: it.pop("seals")), "parts are not those"),
    "a firm whose code is a way out": (
        change_json("quote.json", lambda it: it["firm"].update(code="../../x")),
        "not one that a firm can have",
    ),
    "a name twice": (_twice("ledger.json"), "is not JSON"),
    "a name twice in a record": (_twice("record.json"), "is not JSON"),
    "a week": (
        change_json("quote.json", lambda it: it["quote"].update(valid_until="2026-W48")),
        "quotes.valid_until cannot be",
    ),
    "a time that has not come": (
        change_json("ledger.json", lambda it: it["entries"][0].update(received_at="2036-03-01T08:10:01Z")),
        "received_at is later than now",
    ),
    "not JSON": (_json_of("quote.json", b"{"), "is not JSON"),
    "NaN": (_json_of("quote.json", b'{"firm": NaN}'), "is not JSON"),
    "not an object": (_json_of("ledger.json", b"[]"), "is not a JSON object"),
    "nested deeply": (_json_of("ledger.json", b"[" * 100_000), "is not JSON"),
    "a way out": (_moved("quote.pdf", "../quote.pdf"), "missing, or no row asks for it"),
    "an absolute way": (_moved("quote.pdf", "/etc/quote.pdf"), "missing, or no row asks for it"),
    "a member more": (_json_of("more.txt", b"x"), "missing, or no row asks for it"),
    "a member less": (lambda members: members.pop("quote.pdf"), "missing, or no row asks for it"),
    "a text that cannot be stored": (
        change_json("ledger.json", lambda it: it["concessions"][0].update(reason="\x00\ud800")),
        "",
    ),
    "a number that cannot be stored": (
        change_json("ledger.json", lambda it: it["entries"][0].update(position=10**30)),
        "",
    ),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_not_one_whole_job_is_refused(what: str, archive: bytes, untouched: Engine) -> None:
    change, reason = REFUSED[what]
    members = members_of(archive)
    change(members)
    with pytest.raises(BaywrightError) as error:
        restored(untouched, packed(resealed(members)))
    assert reason in told(error.value)


def _link(change: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """A change of the first certificate's place in the chain."""
    return lambda it: change(next(iter(it["chain"].values())))


WRONG_CHAIN = "The chain is not that of the certificates"


@pytest.mark.one_database
@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (_link(lambda link: link.update(chain_sha256="0" * 64)), WRONG_CHAIN),
        (_link(lambda link: link.pop("before")), WRONG_CHAIN),
        (_link(lambda link: link["before"].update(chain_sha256="0" * 64)), WRONG_CHAIN),
        (_link(lambda link: link["after"].update(record_sha256="0" * 64)), WRONG_CHAIN),
        (_link(lambda link: link.update(after="another")), WRONG_CHAIN),
        (lambda it: it["chain"].clear(), WRONG_CHAIN),
        (lambda it: it.update(format="another-1"), "The format is not"),
        (lambda it: it.pop("members"), "Members or chain are missing"),
        (lambda it: it.pop("chain"), "Members or chain are missing"),
        (lambda it: it["members"].pop(), "The members are not those of the manifest"),
        (lambda it: it["members"][0].pop("sha256"), "its SHA-256 is another"),
    ],
)
def test_a_manifest_must_be_one(
    change: Callable[[Any], Any], reason: str, archive: bytes, untouched: Engine
) -> None:
    members = members_of(archive)
    change_json("manifest.json", change)(members)
    with pytest.raises(InvalidInput) as error:
        restored(untouched, packed(members))
    assert reason in told(error.value)


def test_a_certificate_from_another_history_is_refused(
    api: Api, job: Any, archive: bytes, elsewhere: Engine, api_elsewhere: Api
) -> None:
    """Its number follows on the last one here, and its chain does not."""
    restored(elsewhere, archive)
    assert api_elsewhere.issue(job).status_code == 201
    after = next(
        item["id"] for item in api.send("GET", "/v1/jobs").json["items"] if item["number"] > job["number"]
    )
    before = counts(elsewhere)
    with pytest.raises(BaywrightError):
        restored(elsewhere, _archive_of(api, {"id": after}))
    assert counts(elsewhere) == before
