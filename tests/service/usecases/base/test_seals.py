"""The chain of a quote: one link for each thing, in one order, whoever seals at the same time."""

import hashlib
from concurrent.futures import ThreadPoolExecutor
from uuid import UUID, uuid4

from flask import Flask
from sqlalchemy import Engine

from service.store import seals as stored
from service.store.session import reading, writing
from service.usecases.base.seals import chained, digest, of_closure, of_rows, seal
from tests.api import Api

AT_ONCE, EACH = 4, 5


def test_a_digest_is_that_of_the_canonical_json() -> None:
    job = {"id": UUID(int=7), "state": "open", "number": "J-1"}
    ((named, content),) = of_closure(job).items()
    assert named == ("closure", "00000000-0000-0000-0000-000000000007")
    canonical = b'{"id":"00000000-0000-0000-0000-000000000007","state":"closed"}'
    assert digest(content) == hashlib.sha256(canonical).hexdigest()


def test_a_link_covers_the_one_before_it() -> None:
    first, second = "1" * 64, "2" * 64
    assert chained(first, second) == hashlib.sha256(f"{first}\n{second}".encode()).hexdigest()
    assert chained(first, second) != chained(second, first)


def test_what_may_be_erased_is_not_sealed_but_its_digest_is() -> None:
    names = (
        "id",
        "job_id",
        "firm_id",
        "sha256",
        "sent_sha256",
        "cavity",
        "caption",
        "content",
        "width_px",
        "height_px",
        "taken_at",
        "latitude",
    )
    names += ("cavity", "caption", "longitude", "place_sha256", "received_at", "key_id", "erased_at")
    ((named, content),) = of_rows("photo", [dict.fromkeys(names, "x")]).items()
    assert named == ("photo", "x")
    assert content.keys() == set(names) - {"content", "latitude", "longitude", "erased_at"}


def test_many_seal_at_once_and_the_chain_has_one_end(app: Flask, database: Engine) -> None:
    quote_id = UUID(Api(app).quote()["id"])

    def seal_some(_turn: int) -> None:
        for _ in range(EACH):
            with writing(database) as connection:
                seal(connection, quote_id, of_closure({"id": uuid4()}))

    with ThreadPoolExecutor(AT_ONCE) as pool:
        list(pool.map(seal_some, range(AT_ONCE)))
    with reading(database) as connection:
        rows = stored.of_quote(connection, quote_id)
        end = stored.end(connection, quote_id)
    assert [row["position"] for row in rows] == list(range(1, AT_ONCE * EACH + 1))
    link = stored.NO_PREVIOUS
    for row in rows:
        link = chained(link, row["sha256"])
        assert row["chain_sha256"] == link
    assert end == link
