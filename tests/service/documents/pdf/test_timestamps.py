"""Signatures with timestamps (PAdES B-LTA), by an authority that these tests start.

Poppler and veraPDF judge such a file in tests/contract; here the library's validation does, by what
stands in the file alone, without a network.
"""

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_timestamp
from pyhanko.sign.validation.dss import DocumentSecurityStore
from pyhanko_certvalidator import ValidationContext

from service.documents.pdf import signing, timestamps
from service.documents.pdf.timestamps import Timestamps
from service.errors import SettingsWrong, Unavailable
from tests import authority
from tests.authority import Authority
from tests.refusals import refused
from tests.signing import PASSWORD, certificate, new, packed

LEAST = timedelta(seconds=30)


@pytest.fixture(scope="module")
def running() -> Iterator[Authority]:
    with authority.running() as found:
        yield found


@pytest.fixture(autouse=True)
def well(running: Authority) -> Iterator[Authority]:
    """The authority, which behaves well again after each test."""
    yield running
    running.status, running.body, running.revoked, running.says = 200, None, set(), None
    running.asked.clear()


def key(of: Authority) -> Any:
    return signing.read_key(of.key_file, name="demo.p12", password=PASSWORD, now=of.now)


def stamped(of: Authority, **changes: Any) -> Timestamps:
    return replace(of.timestamps, **changes)


@pytest.fixture(scope="module")
def signed(running: Authority, certificate_pdf: bytes) -> bytes:
    return signing.signed(certificate_pdf, key(running), running.timestamps)


def test_all_that_a_check_needs_is_in_the_file(signed: bytes, well: Authority) -> None:
    """ETSI EN 319 142-1, 6.3, from memory: signature timestamp (T), values (LT), document timestamp (LTA)."""
    well.asked.clear()
    reader = PdfFileReader(io.BytesIO(signed))
    first, last = reader.embedded_signatures
    assert (first.sig_object_type, last.sig_object_type) == ("/Sig", "/DocTimeStamp")
    beside = {each["type"].native for each in first.signer_info["unsigned_attrs"]}
    assert "signature_time_stamp_token" in beside
    store = DocumentSecurityStore.read_dss(reader)
    assert {each.subject.native["common_name"] for each in store.load_certs()} >= {
        "Specimen firm",
        "Specimen timestamps",
    }
    assert len(store.ocsps) + len(store.crls) >= 2
    context = ValidationContext(trust_roots=[well.timestamps.roots[0]], allow_fetching=False)
    found = validate_pdf_timestamp(last, context)
    assert found.valid
    assert found.intact
    assert found.trusted
    assert found.coverage == SignatureCoverageLevel.ENTIRE_FILE
    assert abs(found.timestamp - datetime.now(UTC)) < LEAST
    assert well.asked == []


def down(of: Authority) -> None:
    of.status = 503


def elsewhere(of: Authority) -> None:
    of.status = 302


def talking_nonsense(of: Authority) -> None:
    of.body = b"no timestamp"


def talking_for_ever(of: Authority) -> None:
    of.body = b"0" * (timestamps.LARGEST_TOKEN_BYTES + 1)


def refusing(of: Authority) -> None:
    # RFC 3161, 2.4.2: PKIStatus rejection (2), no token.
    of.body = bytes.fromhex("3005300302 0102".replace(" ", ""))


@pytest.mark.parametrize("behaving", [down, elsewhere, talking_nonsense, talking_for_ever, refusing])
def test_without_its_timestamp_nothing_is_signed(well: Authority, quote_pdf: bytes, behaving: Any) -> None:
    behaving(well)
    with refused(Unavailable, "The timestamp authority 127.0.0.1 cannot be had"):
        signing.signed(quote_pdf, key(well), stamped(well))
    with refused(Unavailable, "The timestamp authority 127.0.0.1 cannot be had"):
        signing.signature_over(b"a head", key(well), stamped(well))


def test_an_authority_that_is_not_there_is_waited_for(well: Authority, quote_pdf: bytes) -> None:
    with refused(Unavailable, "cannot be had"):
        signing.signed(quote_pdf, key(well), stamped(well, url="http://127.0.0.1:9/tsa"))


def test_answers_on_revocation_have_limits_of_size_and_of_time(
    well: Authority, quote_pdf: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The certificates name who is asked, and whoever that is may say anything for as long as he likes."""
    well.behind = b"\0" * (timestamps.LARGEST_ANSWER_BYTES + 1)
    with refused(Unavailable, "cannot be had"):
        signing.signed(quote_pdf, key(well), stamped(well))
    assert {"/ocsp", "/crl"} <= set(well.asked)
    well.behind, well.waits_s = b"", 2
    monkeypatch.setattr(timestamps, "WAIT_S", 0.5)
    with refused(Unavailable, "cannot be had"):
        signing.signed(quote_pdf, key(well), stamped(well))


@pytest.mark.parametrize("whose", ["firm", "tsa"])
def test_a_revoked_certificate_is_no_reason_to_wait(well: Authority, quote_pdf: bytes, whose: str) -> None:
    well.revoked = {getattr(well, whose).serial_number}
    with refused(SettingsWrong, "was revoked"):
        signing.signed(quote_pdf, key(well), stamped(well))


def test_somebody_must_vouch_for_key_and_authority(well: Authority, quote_pdf: bytes) -> None:
    other = new()
    stranger = certificate(other, since=well.now, until=well.now + timedelta(days=9))
    own = signing.read_key(packed(other, stranger), name="demo.p12", password=PASSWORD, now=well.now)
    for keyed, roots in (
        (key(well), (own.signing_cert,)),
        (own, (own.signing_cert,)),
        (own, (well.timestamps.roots[0],)),
    ):
        with refused(SettingsWrong, "Nobody whom the signing folder names vouches"):
            signing.signed(quote_pdf, keyed, stamped(well, roots=roots))


def test_a_trial_key_may_have_real_timestamps(well: Authority, quote_pdf: bytes) -> None:
    content = signing.trial_key("demo (trial key)", password=PASSWORD, now=well.now)
    own = signing.read_key(content, name="demo.p12", password=PASSWORD, now=well.now)
    roots = (own.signing_cert, well.timestamps.roots[0])
    assert b"/ETSI.RFC3161" in signing.signed(quote_pdf, own, stamped(well, roots=roots))


def test_only_the_named_authority_and_revocation_are_asked(well: Authority, quote_pdf: bytes) -> None:
    signing.signed(quote_pdf, key(well), stamped(well))
    assert set(well.asked) <= {"/tsa", "/ocsp", "/crl"}
    assert 2 <= well.asked.count("/tsa") <= 4
