"""The certificate's file, judged by tools that had no part in making it.

veraPDF for the claims, qpdf (as pikepdf) for the structure, Poppler for signature and
attachment. The rendered file and the signed one are judged alike.
"""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import pikepdf
import pytest
from asn1crypto import cms
from flask import Flask

from service.app import create_app
from service.documents.papers import certificate
from service.documents.pdf import signing
from service.settings import Settings
from service.store import certificates
from service.usecases.keeping import verifying
from tests import authority
from tests.api import DEMO, NOW, Api, building, small_building
from tests.full_job import full_job
from tests.poppler import poppler
from tests.verapdf import CLAIMS, Judged

PASSWORD = "for the tests only"
SUBJECT = "Specimen firm (trial key)"
FEW = 200
"""Elements in a piece of a paper that need not be cut at all."""
PRINT_FLAG = 4
"""An annotation's flag to be printed, ISO 32000-1, table 165."""


@dataclass(frozen=True, slots=True, kw_only=True)
class File:
    """A certificate's file as it was downloaded, with the record in the database."""

    path: Path
    record: bytes

    @property
    def content(self) -> bytes:
        """The bytes of the file."""
        return self.path.read_bytes()


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: what the files are made from is compared byte for byte."""
    return sqlite_url


@pytest.fixture(scope="module")
def signing_app(settings: Settings, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    """The service with a signing key for the demo firm."""
    folder = tmp_path_factory.mktemp("signing")
    (folder / "demo.p12").write_bytes(signing.trial_key(SUBJECT, password=PASSWORD, now=NOW))
    app = create_app(replace(settings, signing_folder=str(folder), signing_password=PASSWORD))
    app.testing = True
    yield app
    app.extensions["database"].dispose()


def downloaded(app: Flask, job: Any, path: Path) -> File:
    """The file of a job's latest certificate."""
    with app.extensions["database"].connect() as connection:
        latest = certificates.of_job(connection, UUID(job["id"]))[-1]
    answer = Api(app).send("GET", f"/v1/certificates/{latest['id']}/document")
    assert answer.status_code == 200, answer.text
    path.write_bytes(answer.data)
    return File(path=path, record=bytes(latest["record"]))


def certified(app: Flask, body: object) -> Any:
    """A job that a certificate is issued for."""
    api = Api(app)
    job = api.worked(body)
    assert api.issue(job).status_code == 201
    return job


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the files are put."""
    return tmp_path_factory.mktemp("files")


@pytest.fixture(scope="module")
def rendered(app: Flask, folder: Path) -> File:
    """A small certificate without a signature."""
    return downloaded(app, certified(app, small_building()), folder / "rendered.pdf")


@pytest.fixture(scope="module")
def signed(signing_app: Flask, folder: Path) -> File:
    """A small certificate with its signature, a photo and a concession."""
    return downloaded(signing_app, full_job(Api(signing_app)), folder / "signed.pdf")


@pytest.fixture(scope="module")
def demo_house(signing_app: Flask) -> Any:
    """The job of the whole demo building, certified."""
    return certified(signing_app, building())


@pytest.fixture(scope="module")
def everything(signing_app: Flask, demo_house: Any, folder: Path) -> File:
    """The certificate of the whole demo building, signed."""
    return downloaded(signing_app, demo_house, folder / "everything.pdf")


@pytest.fixture(scope="module")
def in_feet(signing_app: Flask, folder: Path) -> File:
    """The certificate of the demo building of the `us` profile, signed."""
    body = json.loads((DEMO / "building-us.json").read_text(encoding="utf-8"))
    return downloaded(signing_app, certified(signing_app, body), folder / "in-feet.pdf")


@pytest.fixture(scope="module")
def stamped(rendered: File, folder: Path) -> File:
    """The small certificate, signed with the timestamps of an authority."""
    path = folder / "stamped.pdf"
    with authority.running() as found:
        key = signing.read_key(found.key_file, name="demo.p12", password=PASSWORD, now=found.now)
        path.write_bytes(signing.signed(rendered.content, key, found.timestamps))
    return File(path=path, record=rendered.record)


@pytest.fixture(scope="module")
def in_pieces(signing_app: Flask, folder: Path) -> File:
    """A certificate that was laid out in a dozen pieces, with photos in them, and signed."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(certificate, "printed", partial(certificate.printed, enough=FEW))
        return downloaded(signing_app, full_job(Api(signing_app)), folder / "in-pieces.pdf")


@pytest.fixture(params=["rendered", "signed", "stamped", "in_pieces"])
def either(request: pytest.FixtureRequest) -> File:
    """The rendered file, the signed one, one with timestamps too, and one that was made in pieces."""
    return request.getfixturevalue(request.param)


def test_verapdf_finds_both_claims_kept(
    rendered: File,
    signed: File,
    stamped: File,
    in_pieces: File,
    everything: File,
    in_feet: File,
    judged: Judged,
) -> None:
    """ISO 19005-3 level A and ISO 14289-1, every rule that veraPDF has for them."""
    files = (rendered, signed, stamped, in_pieces, everything, in_feet)
    verdicts = judged(*(file.path for file in files))
    assert [verdict.claim for verdict in verdicts] == [*CLAIMS] * len(files)
    assert [verdict.broken for verdict in verdicts] == [[]] * len(verdicts)
    assert all(verdict.conforms for verdict in verdicts)
    assert min(verdict.checks for verdict in verdicts) > 10_000


def test_the_demo_houses_papers_fit_in_the_hand(
    signing_app: Flask, demo_house: Any, everything: File
) -> None:
    """Seventeen parts: a certificate, a quotation and a crew's sheet of few pages."""
    api, most = Api(signing_app), {"quotes": (demo_house["quote_id"], 4), "jobs": (demo_house["id"], 15)}
    for kind, (which, pages) in most.items():
        answer = api.send("GET", f"/v1/{kind}/{which}/document")
        with pikepdf.open(BytesIO(answer.data)) as paper:
            assert 1 < len(paper.pages) <= pages, kind
    with pikepdf.open(everything.path) as paper:
        assert 1 < len(paper.pages) <= 8


def test_verapdf_notices_what_a_claim_forbids(rendered: File, tmp_path: Path, judged: Judged) -> None:
    spoilt = tmp_path / "spoilt.pdf"
    with pikepdf.open(rendered.path) as pdf:
        del pdf.Root.OutputIntents
        del pdf.Root.ViewerPreferences
        pdf.save(spoilt)
    archive, accessible = judged(spoilt)
    assert any(clause.startswith("6.2.4.3") for clause in archive.broken)
    assert any(clause.startswith("7.1") for clause in accessible.broken)
    assert not archive.conforms
    assert not accessible.conforms


def test_the_structure_is_there_for_who_listens_to_it(either: File) -> None:
    with pikepdf.open(either.path) as pdf:
        assert pdf.Root.Lang == "en"
        assert pdf.Root.MarkInfo.Marked
        roles = {str(each.S) for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and "/S" in each}
        assert {"/Document", "/H1", "/H2", "/P", "/Table", "/TR", "/TH", "/TD", "/Figure"} <= roles
        assert all(page.Tabs == "/S" for page in pdf.pages)


def test_the_record_is_attached_as_the_data_that_the_page_shows(either: File) -> None:
    with pikepdf.open(either.path) as pdf:
        assert [*pdf.attachments] == ["record.json"]
        (associated,) = pdf.Root.AF
        assert associated.AFRelationship == "/Data"
        assert associated.EF.F.Subtype == "/application/json"


def test_the_attached_record_is_the_frozen_one(either: File, tmp_path: Path) -> None:
    taken_out = tmp_path / "record.json"
    poppler("pdfdetach", "-savefile", "record.json", "-o", taken_out, either.path)
    assert taken_out.read_bytes() == either.record


@pytest.mark.parametrize("kind", ["rendered", "signed"])
def test_the_digests_of_the_public_page_are_those_of_file_and_record(
    kind: str, request: pytest.FixtureRequest, app: Flask
) -> None:
    either = request.getfixturevalue(kind)
    number = json.loads(either.record)["number"]
    said = app.test_client().get(f"/verify/{number}", headers={"Accept": "application/json"}).json
    assert said["file_sha256"] == hashlib.sha256(either.content).hexdigest()
    assert said["record_sha256"] == hashlib.sha256(either.record).hexdigest()


def test_whoever_holds_it_can_verify_it(either: File) -> None:
    """Of the files that the service issued nothing is found wrong; that nobody is trusted yet is said."""
    found = list(verifying.verify(either.content, held=[], roots=(), now=datetime.now(UTC)))
    assert {str(each.verdict) for each in found} <= {"holds", "unchecked", "note"}
    digest = hashlib.sha256(either.record).hexdigest()
    assert digest in [each.words.values.get("sha256") for each in found]


def test_poppler_finds_the_signature_valid_and_over_the_whole_file(signed: File) -> None:
    said = poppler("pdfsig", "-nocert", signed.path)
    for line in (
        f"Signer Certificate Common Name: {SUBJECT}",
        "Signature Type: ETSI.CAdES.detached",
        "Signing Hash Algorithm: SHA-256",
        "Total document signed",
        "Signature Validation: Signature is Valid.",
    ):
        assert line in said


def test_poppler_finds_signature_and_timestamp_and_nothing_after_them(stamped: File) -> None:
    first, last = poppler("pdfsig", "-nocert", stamped.path).split("Signature #2:")
    assert "Signature Validation: Signature is Valid." in first
    assert "Signer Certificate Common Name: Specimen timestamps" in last
    assert "Total document signed" in last.replace("Not total", "")


def test_without_a_key_there_is_no_signature(rendered: File) -> None:
    assert "does not contain any signatures" in poppler("pdfsig", "-nocert", rendered.path)


@pytest.mark.parametrize("place", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_poppler_finds_one_flipped_bit(signed: File, tmp_path: Path, place: float) -> None:
    content = bytearray(signed.content)
    content[int(len(content) * place)] ^= 1
    altered = tmp_path / "altered.pdf"
    altered.write_bytes(content)
    assert "Signature Validation: Digest Mismatch." in poppler("pdfsig", "-nocert", altered)


def test_the_signature_shows_on_no_page_and_forbids_changes(signed: File) -> None:
    with pikepdf.open(signed.path) as pdf:
        (field,) = pdf.Root.AcroForm.Fields
        assert field.FT == "/Sig"
        assert str(field.TU) == signing.FIELD_FOR_PEOPLE
        assert [float(side) for side in field.Rect] == [0, 0, 0, 0]
        assert field.F & PRINT_FLAG
        assert pdf.Root.AcroForm.SigFlags == 3
        # DocMDP with P 1: no change is permitted, ISO 32000-1, table 254.
        assert pdf.Root.Perms.DocMDP.Reference[0].TransformParams.P == 1


def test_the_signature_is_of_pades_level_b(signed: File) -> None:
    """ETSI EN 319 142-1, table 1: the certificate's digest is signed, and the CMS has no signing-time."""
    with pikepdf.open(BytesIO(signed.content)) as pdf:
        value = pdf.Root.AcroForm.Fields[0].V
        assert value.SubFilter == "/ETSI.CAdES.detached"
        start, length, after, rest = (int(each) for each in value.ByteRange)
        assert (start, after + rest) == (0, len(signed.content))
        contents = bytes.fromhex(signed.content[length + 1 : after - 1].decode())
    said = cms.ContentInfo.load(contents)["content"]["signer_infos"][0]
    attributes = {each["type"].native: each["values"] for each in said["signed_attrs"]}
    assert {"content_type", "message_digest", "signing_certificate_v2"} <= set(attributes)
    assert "signing_time" not in attributes
    covered = signed.content[:length] + signed.content[after:]
    assert attributes["message_digest"][0].native == hashlib.sha256(covered).digest()
