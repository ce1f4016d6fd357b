"""The digest in the client's stead: worked out here by hand from its description."""

import hashlib
from uuid import UUID

from service.usecases.work.clients import digest, row_of

QUOTE = UUID(int=1)
BODY = {
    "client": {"name": "Ä. Muster", "email": "muster@example.org"},
    "site": {"address": "Hauptplatz 1", "country": "AT"},
}


def test_the_digest_covers_the_salt_and_the_canonical_json() -> None:
    # Members in the order of their names, no space, UTF-8: RFC 8785.
    canonical = '{"address":"Hauptplatz 1","email":"muster@example.org","name":"Ä. Muster"}'
    salt = bytes(range(16))
    data = {"name": "Ä. Muster", "email": "muster@example.org", "address": "Hauptplatz 1"}
    assert digest(salt.hex(), data) == hashlib.sha256(salt + canonical.encode()).hexdigest()


def test_a_row_has_what_is_personal_and_a_salt_of_its_own() -> None:
    first, second = row_of(QUOTE, BODY), row_of(QUOTE, BODY)
    assert first["data"] == {
        "name": "Ä. Muster",
        "email": "muster@example.org",
        "address": "Hauptplatz 1",
    }
    assert len(bytes.fromhex(first["salt"])) == 16
    assert first["salt"] != second["salt"]
    assert first["sha256"] != second["sha256"]
    assert first["sha256"] == digest(first["salt"], first["data"])
