"""A file is verified by whoever holds it: every sentence is said of the file that deserves it."""

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
import rfc8785

from service.documents.pdf import signing
from service.errors import Malformed
from service.usecases.base.seals import chained
from service.usecases.keeping import anchors, verifying
from service.usecases.keeping.anchors import BEGINNING, Anchor, Place
from service.usecases.keeping.verifying import Verdict
from tests import authority
from tests.api import NOW
from tests.authority import Authority
from tests.refusals import refused
from tests.signing import PASSWORD
from tests.verifiable import NUMBER, attached, certificate, record

DIGEST = hashlib.sha256(rfc8785.dumps(record())).hexdigest()
OTHERS = [hashlib.sha256(each).hexdigest() for each in (b"another", b"a third")]


@pytest.fixture(scope="module")
def running() -> Iterator[Authority]:
    with authority.running() as found:
        yield found


@pytest.fixture(scope="module")
def key(running: Authority) -> Any:
    return signing.read_key(running.key_file, name="demo.p12", password=PASSWORD, now=running.now)


@pytest.fixture(scope="module")
def stamped(running: Authority, key: Any) -> bytes:
    return signing.signed(certificate(), key, running.timestamps)


@pytest.fixture(scope="module")
def said(running: Authority) -> Callable[..., dict[str, Verdict]]:
    """What is said of a file, by its codes; whom the reader trusts is the authority unless `named` is not."""

    def codes(pdf: bytes, *held: Anchor, named: bool = True) -> dict[str, Verdict]:
        roots = running.timestamps.roots if named else ()
        found = verifying.verify(pdf, held=held, roots=roots, now=running.now)
        return {each.words.code.removeprefix("verify."): each.verdict for each in found}

    return codes


NOTES = {"certificate": Verdict.NOTE, "record": Verdict.NOTE, "standing": Verdict.NOTE}


def held(*records: str, since: Place = BEGINNING, key: Any = None, **changes: Any) -> Anchor:
    """An anchor of a chain of these records, signed by a key."""
    end = since.sha256
    for each in records:
        end = chained(end, each)
    head = Place(count=since.count + len(records), sha256=end)
    bare = Anchor(firm="demo", made_at=NOW + timedelta(days=1), head=head, since=since, records=records)
    bare = replace(bare, **changes)
    return replace(bare, signature=signing.signature_over(anchors.signed_part(bare), key)) if key else bare


def test_of_a_whole_certificate_everything_holds(said: Any, stamped: bytes, key: Any) -> None:
    found = said(stamped, held(OTHERS[0], DIGEST, OTHERS[1], key=key))
    assert found == NOTES | dict.fromkeys(
        ("signed", "trusted", "stamped", "anchor_trusted", "in_chain"), Verdict.HOLDS
    )


def test_where_nobody_is_named_that_is_said(said: Any, stamped: bytes, key: Any) -> None:
    found = said(stamped, held(DIGEST, key=key), named=False)
    assert found == NOTES | dict.fromkeys(("signed", "in_chain"), Verdict.HOLDS) | dict.fromkeys(
        ("nobody_named", "stamp_nobody_named", "anchor_nobody_named"), Verdict.UNCHECKED
    )


def test_its_place_is_the_one_that_the_chain_gives_it(running: Authority, stamped: bytes) -> None:
    since = Place(count=4, sha256=OTHERS[1])
    anchor = held(OTHERS[0], DIGEST, since=since)
    found = verifying.verify(stamped, held=[anchor], roots=(), now=running.now)
    (place,) = (each.words.values for each in found if each.words.code == "verify.in_chain")
    assert (place["place"], place["count"]) == (6, 6)


def test_an_unsigned_certificate_that_says_so_is_no_fault(said: Any) -> None:
    assert said(certificate(signature="none")) == NOTES | {
        "not_signed": Verdict.UNCHECKED,
        "no_anchor": Verdict.UNCHECKED,
    }


def test_a_signature_or_timestamp_that_was_taken_away_is_missed(said: Any, key: Any) -> None:
    assert said(certificate(signature="firm"))["signature_missing"] is Verdict.WRONG
    found = said(signing.signed(certificate(), key))
    assert found["stamp_missing"] is Verdict.WRONG
    found = said(signing.signed(certificate(signature="firm"), key))
    assert (found["signed"], found["not_stamped"]) == (Verdict.HOLDS, Verdict.UNCHECKED)


def test_a_change_is_found_and_nothing_else_is_said_of_its_signature(said: Any, stamped: bytes) -> None:
    assert said(stamped + b"\n% more") == NOTES | {"altered": Verdict.WRONG, "no_anchor": Verdict.UNCHECKED}


def test_who_signs_without_anybody_who_vouches_is_not_trusted(said: Any, running: Authority) -> None:
    content = signing.trial_key("Somebody", password=PASSWORD, now=running.now)
    own = signing.read_key(content, name="x", password=PASSWORD, now=running.now)
    found = said(signing.signed(certificate(signature="firm"), own), held(DIGEST, key=own))
    assert found["not_trusted"] is Verdict.WRONG
    assert found["anchor_not_trusted"] is Verdict.WRONG


def test_a_timestamp_of_somebody_else_is_not_trusted(running: Authority, key: Any, stamped: bytes) -> None:
    """The reader trusts the firm's own certificate, and nobody who vouches for the authority."""
    found = verifying.verify(stamped, held=[], roots=[key.signing_cert], now=running.now)
    codes = {each.words.code: each.verdict for each in found}
    assert codes["verify.trusted"] is Verdict.HOLDS
    assert codes["verify.stamp_not_trusted"] is Verdict.WRONG


@pytest.mark.parametrize(
    ("anchor", "code", "verdict"),
    [
        (held(*OTHERS), "not_in_chain", Verdict.WRONG),
        (held(*OTHERS, made_at=NOW - timedelta(days=1)), "not_among", Verdict.UNCHECKED),
        (held(*OTHERS, since=Place(count=9, sha256=DIGEST)), "not_among", Verdict.UNCHECKED),
        (held(DIGEST, firm="other"), "anchor_of_another_firm", Verdict.UNCHECKED),
        (
            held(DIGEST, since=BEGINNING) and replace(held(), since=None),
            "anchor_without_digests",
            "unchecked",
        ),
        (held(DIGEST), "anchor_not_signed", Verdict.UNCHECKED),
    ],
)
def test_an_anchor_is_believed_as_far_as_it_goes(
    said: Any, stamped: bytes, anchor: Anchor, code: str, verdict: Verdict
) -> None:
    assert said(stamped, anchor)[code] == verdict


def test_an_anchor_that_was_altered_is_found(said: Any, stamped: bytes, key: Any) -> None:
    """The digests lead to the head again, and the signature is over other ones."""
    signed = held(*OTHERS, key=key)
    forged = replace(held(*OTHERS, DIGEST), signature=signed.signature)
    assert said(stamped, forged)["anchor_altered"] is Verdict.WRONG


@pytest.mark.parametrize(
    "content",
    [
        b"{}",
        b"no JSON",
        b"\xff",
        b"[" * 10_000,
        rfc8785.dumps(record(format="another")),
        rfc8785.dumps(record(number=3) | {"issued_at": "2026-W48"}),
        rfc8785.dumps(record(signature="perhaps")),
        b" " + rfc8785.dumps(record()),
    ],
)
def test_a_record_of_another_kind_is_said_to_be_one(said: Any, content: bytes) -> None:
    assert said(attached(content)) == {"record_unreadable": Verdict.WRONG}


def test_without_a_record_it_is_no_certificate(said: Any) -> None:
    assert said(attached()) == {"no_record": Verdict.WRONG}


def test_no_file_beyond_its_limit_is_read(said: Any) -> None:
    with refused(Malformed, "no more than"):
        said(bytes(verifying.LARGEST_BYTES + 1))


def test_the_numbers_are_of_the_certificate(running: Authority, stamped: bytes) -> None:
    first, second, *_ = verifying.verify(stamped, held=[], roots=(), now=running.now)
    assert first.words.values["number"] == NUMBER
    assert second.words.values["sha256"] == DIGEST
