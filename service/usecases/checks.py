"""Does every record still say what it said: digests, chain, files and photos of a whole database."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Engine, RowMapping

from service.store import certificates, files, firms, photos
from service.store.session import reading
from service.usecases.certificates import chained


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What was looked at, and a sentence for each thing found wrong."""

    certificates: int
    files: int
    faults: tuple[str, ...]


def verify(database: Engine) -> Report:
    """Verify every record, file and photo."""
    with reading(database) as connection:
        stored = files.every(connection)
        chains = [certificates.chain(connection, firm["id"]) for firm in firms.every(connection)]
        found = [fault for chain in chains for fault in _chain_faults(chain)]
        found += [
            f"{file['kind']} file of {file['owner_id']}: the stored bytes are not the ones that were issued."
            for file in stored
            if _digest(file["content"]) != file["sha256"]
        ]
        taken = [(row["sha256"], _digest(row["content"])) for row in photos.every(connection)]
        found += [
            f"photo {sha256}: the stored bytes are not the ones that were taken in."
            for sha256, digest in taken
            if digest != sha256
        ]
    return Report(certificates=sum(map(len, chains)), files=len(stored) + len(taken), faults=tuple(found))


def _chain_faults(chain: list[RowMapping]) -> Iterator[str]:
    end, serial, year = certificates.NO_PREVIOUS, 0, None
    for row in chain:
        number = row["number"]
        serial = serial + 1 if row["year"] == year else 1
        year = row["year"]
        if row["serial"] != serial:
            yield f"{number}: a number is missing before it."
            serial = row["serial"]
        if _digest(row["record"]) != row["record_sha256"]:
            yield f"{number}: the record is not the one that was issued."
        if row["previous_sha256"] != end or row["chain_sha256"] != chained(end, row["record_sha256"]):
            yield f"{number}: the chain is broken here: a record before it was removed or altered."
        end = row["chain_sha256"]


def _digest(content: bytes) -> str:
    return hashlib.sha256(bytes(content)).hexdigest()
