"""The signing folder: whose keys are in it, and that a firm with a key never goes unsigned."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from functools import cache
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from flask import Flask
from sqlalchemy import Engine

from service.api.firm_files import read_firm
from service.documents.pdf import signing
from service.errors import Conflict, NotKnown, SettingsWrong
from service.settings import Settings
from service.usecases.firm import firms, signing_keys
from service.usecases.firm.signing_keys import Signature
from tests import authority
from tests.api import DEMO, NOW, Api
from tests.authority import Authority
from tests.refusals import refused
from tests.signing import certificate, packed

PASSWORD = "for the tests only"


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: keys are files."""
    return sqlite_url


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty signing folder."""
    path = tmp_path / "signing"
    path.mkdir()
    return path


@pytest.fixture
def with_keys(settings: Settings, folder: Path) -> Settings:
    """Settings with that folder."""
    return replace(settings, signing_folder=str(folder), signing_password=PASSWORD)


@cache
def key(*, age_days: int = 0) -> bytes:
    """A key that was made so many days ago; after a year it has expired."""
    return signing.trial_key("Specimen", password=PASSWORD, now=NOW - timedelta(days=age_days))


def expired(folder: Path) -> None:
    (folder / "demo.p12").write_bytes(key(age_days=400))


def of_another_password(folder: Path) -> None:
    (folder / "demo.p12").write_bytes(signing.trial_key("Specimen", password="another", now=NOW))


def leading_nowhere(folder: Path) -> None:
    (folder / "demo.p12").symlink_to(folder / "gone")


def a_folder(folder: Path) -> None:
    (folder / "demo.p12").mkdir()


def of_a_kind_that_few_validate(folder: Path) -> None:
    made = Ed25519PrivateKey.generate()
    (folder / "demo.p12").write_bytes(packed(made, certificate(made, until=NOW + timedelta(days=9))))


def no_folder(folder: Path) -> None:
    folder.rmdir()


UNUSABLE = {
    expired: "Signing key demo.p12 has a certificate that expired",
    of_another_password: "Signing key demo.p12 is no PKCS#12 file that the signing password opens",
    leading_nowhere: "demo.p12 in the signing folder cannot be read: No such file",
    of_a_kind_that_few_validate: "Signing key demo.p12 is Ed25519, which many validators refuse",
    a_folder: "demo.p12 in the signing folder cannot be read: Is a directory",
    no_folder: "BAYWRIGHT_SIGNING_FOLDER names no folder",
}
Spoil = Callable[[Path], None]


def test_a_firm_signs_with_its_own_key_or_not_at_all(with_keys: Settings, folder: Path) -> None:
    (folder / "demo.p12").write_bytes(key())
    assert signing_keys.of(with_keys, "demo", NOW)
    assert signing_keys.of(with_keys, "other", NOW) is None
    assert signing_keys.of(replace(with_keys, signing_folder=""), "demo", NOW) is None


def test_a_code_that_leads_elsewhere_opens_nothing(with_keys: Settings, folder: Path) -> None:
    (folder.parent / "x.p12").write_bytes(key())
    with refused(SettingsWrong, "none can have"):
        signing_keys.of(with_keys, "../x", NOW)


@pytest.mark.parametrize("spoil", UNUSABLE)
def test_a_key_that_cannot_be_used_is_an_error_from_the_start(
    database: Engine, with_keys: Settings, folder: Path, spoil: Spoil
) -> None:
    signing_keys.check(database, with_keys, NOW)
    spoil(folder)
    with refused(SettingsWrong, UNUSABLE[spoil]):
        signing_keys.check(database, with_keys, NOW)
    with refused(SettingsWrong, UNUSABLE[spoil]):
        signing_keys.of(with_keys, "demo", NOW)


@pytest.mark.parametrize("name", ["dmo.p12", "dmo.pem", "DEMO.p12", "demo.pfx", "demo"])
def test_a_key_that_is_nobodys_is_an_error_from_the_start(
    database: Engine, with_keys: Settings, folder: Path, name: str
) -> None:
    """It would lie there unused, and the firm would go unsigned."""
    (folder / name).write_bytes(key())
    with refused(SettingsWrong, f"{name} is not named after a firm"):
        signing_keys.check(database, with_keys, NOW)


@pytest.fixture
def signing_app(app: Flask, with_keys: Settings, monkeypatch: pytest.MonkeyPatch) -> Flask:
    """The service, which signs while the test runs."""
    monkeypatch.setitem(app.extensions, "settings", with_keys)
    return app


@pytest.mark.parametrize("spoil", UNUSABLE)
def test_with_an_unusable_key_nothing_is_issued(signing_app: Flask, folder: Path, spoil: Spoil) -> None:
    api = Api(signing_app)
    job = api.worked()
    spoil(folder)
    refused = api.issue(job)
    assert refused.status_code == 503
    assert UNUSABLE[spoil] in refused.json["detail"]
    assert PASSWORD not in refused.text
    assert api.send("GET", f"/v1/jobs/{job['id']}").json["state"] == "open"


def test_a_record_whose_key_fails_waits_for_its_file(signing_app: Flask, folder: Path) -> None:
    """The key expires between the record and its file: no file, and never one without a signature."""
    api = Api(signing_app)
    (folder / "demo.p12").write_bytes(key())
    job = api.worked()
    api.wait()
    issued = api.issue(job).json
    expired(folder)
    path = f"/v1/certificates/{issued['id']}"
    waits = api.send("GET", f"{path}/document")
    assert (waits.status_code, waits.json["state"], waits.json["error"]["code"]) == (
        202,
        "failed",
        "documents.key_wrong",
    )
    assert PASSWORD not in waits.text
    assert api.send("GET", path).json["file_sha256"] is None
    (folder / "demo.p12").write_bytes(key())
    assert api.wait(later=timedelta(minutes=1)) == 1
    file = api.send("GET", f"{path}/document")
    assert file.status_code == 200
    assert b"/ETSI.CAdES.detached" in file.data
    assert api.send("GET", path).json["number"] == issued["number"]


def test_a_trial_key_is_kept_to_its_owner_and_never_replaced(
    database: Engine, with_keys: Settings, folder: Path
) -> None:
    path = signing_keys.make_trial(database, with_keys, "demo", NOW)
    assert path == folder / "demo.p12"
    assert path.stat().st_mode & 0o077 == 0
    assert signing_keys.of(with_keys, "demo", NOW)
    before = path.read_bytes()
    with refused(Conflict, "stays as it is"):
        signing_keys.make_trial(database, with_keys, "demo", NOW)
    assert path.read_bytes() == before


def test_a_trial_key_wants_a_firm_and_a_password(database: Engine, with_keys: Settings) -> None:
    with refused(NotKnown, "no firm dmo"):
        signing_keys.make_trial(database, with_keys, "dmo", NOW)
    with refused(SettingsWrong, "BAYWRIGHT_SIGNING_PASSWORD"):
        signing_keys.make_trial(database, replace(with_keys, signing_password=""), "demo", NOW)


def naming(database: Engine, url: str | None) -> None:
    """Let the demo firm name an authority, or none, as loading its files does."""
    firm = read_firm(DEMO)
    firms.load(database, {**firm, "data": firm["data"] | ({"timestamp_url": url} if url else {})}, NOW)


@pytest.fixture
def stamping(database: Engine, signing_app: Flask, folder: Path) -> Iterator[Authority]:
    """An authority that the demo firm names until the test ends; its operator trusts it."""
    with authority.running() as found:
        (folder / "demo.p12").write_bytes(key())
        (folder / "demo.pem").write_bytes(found.root_pem)
        naming(database, f"{found.url}/tsa")
        yield found
    naming(database, None)


@pytest.fixture
def over_http(signing_app: Flask, monkeypatch: pytest.MonkeyPatch) -> Flask:
    """The service, which may ask an authority without https."""
    settings = replace(signing_app.extensions["settings"], plain_http=1)
    monkeypatch.setitem(signing_app.extensions, "settings", settings)
    return signing_app


def test_out_of_reach_an_authority_is_waited_for_and_the_certificate_stands(
    over_http: Flask, stamping: Authority
) -> None:
    """Its file comes once there is a timestamp, and never without one."""
    api = Api(over_http)
    job = api.worked()
    api.wait()
    stamping.status = 503
    issued = api.issue(job)
    assert issued.status_code == 201
    path = f"/v1/certificates/{issued.json['id']}"
    waiting = api.send("GET", f"{path}/document")
    assert (waiting.status_code, waiting.json["state"]) == (202, "failed")
    assert waiting.headers["Retry-After"]
    assert waiting.json["error"]["code"] == "documents.no_timestamp"
    assert api.send("GET", path).json["file_sha256"] is None
    stamping.status = 200
    assert api.wait(later=timedelta(seconds=5)) >= 1
    file = api.send("GET", f"{path}/document").data
    assert b"/ETSI.RFC3161" in file
    with pikepdf.open(BytesIO(file)) as pdf:
        record = json.loads(pdf.attachments["record.json"].get_file().read_bytes())
    assert record["signature"] == "timestamped"
    assert record["firm"]["timestamp_url"] == f"{stamping.url}/tsa"


def test_an_authority_is_asked_over_https_unless_the_operator_allows_less(
    over_http: Flask, stamping: Authority, database: Engine
) -> None:
    settings = over_http.extensions["settings"]
    signing_keys.check(database, settings, NOW)
    with refused(SettingsWrong, "BAYWRIGHT_PLAIN_HTTP"):
        signing_keys.check(database, replace(settings, plain_http=0), NOW)
    assert stamping.asked == []


@pytest.mark.parametrize("content", [b"", b"no certificates", b"\x30\x03\x02\x01\x01"])
def test_what_is_trusted_must_be_certificates(
    database: Engine, with_keys: Settings, folder: Path, content: bytes
) -> None:
    (folder / "demo.p12").write_bytes(key())
    (folder / "demo.pem").write_bytes(content)
    with refused(SettingsWrong, r"demo\.pem holds no certificates"):
        signing_keys.check(database, with_keys, NOW)


def test_a_file_is_signed_as_its_record_says_or_not_made(with_keys: Settings, folder: Path) -> None:
    """A key or an authority that came later changes nothing; one that is gone is missed."""
    named = {"timestamp_url": "https://stamps.example/tsa"}
    with refused(SettingsWrong, "issued to be signed"):
        signing_keys.as_issued(with_keys, "demo", named, Signature.FIRM, NOW)
    (folder / "demo.p12").write_bytes(key())
    assert signing_keys.as_issued(with_keys, "demo", named, Signature.NONE, NOW) is None
    plain = signing_keys.as_issued(with_keys, "demo", named, Signature.FIRM, NOW)
    assert plain is not None
    assert plain.stamped is None
    stamped = signing_keys.as_issued(with_keys, "demo", named, Signature.TIMESTAMPED, NOW)
    assert stamped is not None
    assert stamped.stamped is not None
    with refused(SettingsWrong, "issued to be signed"):
        signing_keys.as_issued(with_keys, "demo", {}, Signature.TIMESTAMPED, NOW)
