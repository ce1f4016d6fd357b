"""What is read out of a signed file is so; a file that was tampered with says so. Nobody is asked."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from pyhanko.pdf_utils.generic import NameObject, pdf_string
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.signers import PdfTimeStamper

from service.documents.pdf import signatures, signing
from service.documents.pdf.signatures import Signed
from service.errors import Malformed
from tests import authority
from tests.authority import FOR_YEARS, Authority
from tests.refusals import refused
from tests.signing import PASSWORD, certificate, new, packed
from tests.verifiable import attached

RECORD = b'{"a": 1}'
SOON = timedelta(minutes=1)


@pytest.fixture(scope="module")
def running() -> Iterator[Authority]:
    with authority.running() as found:
        yield found


def key(of: Authority) -> Any:
    return signing.read_key(of.key_file, name="demo.p12", password=PASSWORD, now=of.now)


@pytest.fixture(scope="module")
def stamped(running: Authority) -> bytes:
    """A signed file with the timestamps of the authority."""
    return signing.signed(attached(RECORD), key(running), running.timestamps)


@pytest.fixture(scope="module")
def plain(running: Authority) -> bytes:
    """A signed file without."""
    return signing.signed(attached(RECORD), key(running))


def found(pdf: bytes, of: Authority, *, later: timedelta = timedelta(), named: bool = True) -> Signed:
    roots = of.timestamps.roots if named else ()
    signed = signatures.contents(pdf, roots=roots, now=of.now + later).signed
    assert signed is not None
    return signed


def test_signer_time_and_record_are_read(stamped: bytes, running: Authority) -> None:
    running.asked.clear()
    signed = found(stamped, running)
    assert signed.fits
    assert signed.whole
    assert signed.trusted
    assert (signed.by, len(signed.sha256)) == ("Specimen firm", 64)
    assert signed.stamp is not None
    assert signed.stamp.by == "Specimen timestamps"
    assert signed.stamp.fits
    assert signed.stamp.trusted
    assert not signed.stamp.expired
    assert abs(signed.stamp.at - datetime.now(UTC)) < SOON
    assert signatures.contents(stamped, roots=(), now=running.now).record == RECORD
    assert running.asked == []


def test_a_timestamped_signature_outlives_its_certificates(
    stamped: bytes, plain: bytes, running: Authority
) -> None:
    """Years after all of them expired it is judged as of its timestamp; one without is not trusted then."""
    after = FOR_YEARS + timedelta(days=900)
    signed = found(stamped, running, later=after)
    assert signed.trusted
    assert signed.stamp is not None
    assert signed.stamp.trusted
    assert signed.stamp.expired
    assert found(plain, running).trusted
    unstamped = found(plain, running, later=after)
    assert unstamped.fits
    assert not unstamped.trusted
    assert unstamped.stamp is None


def test_a_key_revoked_later_signed_well_before(stamped: bytes, running: Authority) -> None:
    running.revoked = {running.firm.serial_number}
    try:
        assert found(stamped, running).trusted
    finally:
        running.revoked = set()


def test_nobody_is_trusted_who_was_not_named(stamped: bytes, running: Authority) -> None:
    signed = found(stamped, running, named=False)
    assert signed.fits
    assert not signed.trusted
    assert signed.stamp is not None
    assert not signed.stamp.trusted


def flipped(pdf: bytes) -> bytes:
    """A bit of the comment in the second line, which no reader looks at."""
    at = pdf.index(b"\n") + 3
    return pdf[:at] + bytes([pdf[at] ^ 1]) + pdf[at + 1 :]


def with_something_after(pdf: bytes) -> bytes:
    return pdf + b"\n% more\n"


def with_another_title(pdf: bytes) -> bytes:
    """A change as programs make it, in an update behind the signature."""
    writer = IncrementalPdfFileWriter(BytesIO(pdf))
    writer.root[NameObject("/Lang")] = pdf_string("en")
    writer.update_root()
    changed = BytesIO()
    writer.write(changed)
    return changed.getvalue()


@pytest.mark.parametrize("change", [flipped, with_something_after, with_another_title])
@pytest.mark.parametrize("which", ["stamped", "plain"])
def test_a_change_after_the_signature_is_found(
    change: Any, which: str, request: pytest.FixtureRequest, running: Authority
) -> None:
    pdf = request.getfixturevalue(which)
    signed = found(pdf, running)
    assert signed.fits
    assert signed.whole
    changed = found(change(pdf), running)
    assert not (changed.fits and changed.whole)


def test_a_change_that_somebody_signs_again_is_found(plain: bytes, running: Authority) -> None:
    """Another timestamp over an altered file covers it whole: the change stays a change."""
    with_stamp = PdfTimeStamper(running.timestamps.client).timestamp_pdf(
        IncrementalPdfFileWriter(BytesIO(with_another_title(plain))), "sha256"
    )
    assert not found(with_stamp.getvalue(), running).whole
    kept = PdfTimeStamper(running.timestamps.client).timestamp_pdf(
        IncrementalPdfFileWriter(BytesIO(plain)), "sha256"
    )
    assert found(kept.getvalue(), running).whole


def test_keys_for_signatures_of_either_use_are_trusted(running: Authority) -> None:
    for usage in ("digital_signature", "content_commitment"):
        made = new()
        of_key = certificate(made, since=running.now, until=running.now + FOR_YEARS, usage=usage)
        own = signing.read_key(packed(made, of_key), name="x", password=PASSWORD, now=running.now)
        signed = signing.signed(attached(RECORD), own)
        said = signatures.contents(signed, roots=[own.signing_cert], now=running.now).signed
        assert said is not None
        assert said.trusted


def test_a_file_without_them_has_neither(running: Authority) -> None:
    assert signatures.contents(attached(), roots=(), now=running.now) == signatures.Contents(
        record=None, signed=None
    )
    other = BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.attachments["another.json"] = pikepdf.AttachedFileSpec(pdf, b"{}", filename="another.json")
        pdf.save(other)
    assert signatures.contents(other.getvalue(), roots=(), now=running.now).record is None


def bomb() -> bytes:
    """A record of 270 MB in some hundred kB."""
    return attached(bytes(270_000_000))


@pytest.mark.parametrize("content", [b"", b"no PDF", b"%PDF-1.7\n" * 9, attached(b"{}", b"{}")])
def test_what_is_no_such_file_is_refused(content: bytes, running: Authority) -> None:
    with refused(Malformed, "no PDF, or it is damaged"):
        signatures.contents(content, roots=(), now=running.now)


def test_a_file_cut_short_anywhere_is_refused_or_found_changed(stamped: bytes, running: Authority) -> None:
    for end in range(50, len(stamped), len(stamped) // 40):
        try:
            signed = signatures.contents(
                stamped[:end], roots=running.timestamps.roots, now=running.now
            ).signed
        except Malformed:
            continue
        assert signed is None or not (signed.fits and signed.whole)


def test_more_than_a_record_can_be_is_not_unpacked(running: Authority) -> None:
    with refused(Malformed, "no PDF, or it is damaged"):
        signatures.contents(bomb(), roots=(), now=running.now)


def test_a_signature_apart_is_read_too(running: Authority) -> None:
    for by in (None, running.timestamps):
        made = signing.signature_over(b"a head", key(running), by)
        signed = signatures.over(b"a head", made, roots=running.timestamps.roots, now=running.now)
        assert signed.fits
        assert signed.trusted
        assert signed.by == "Specimen firm"
        assert (signed.stamp is not None) == (by is not None)
        assert signed.stamp is None or signed.stamp.trusted
        assert not signatures.over(b"another", made, roots=(), now=running.now).fits
    for content in (b"", b"0", made[:-9]):
        with refused(Malformed, "cannot be read"):
            signatures.over(b"a head", content, roots=(), now=running.now)
