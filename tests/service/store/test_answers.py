"""A first answer is kept under its key, found again, forgotten by name and swept by age."""

from uuid import UUID

from sqlalchemy import Connection

from service.store import answers
from tests.stored import DIGEST, Site, moment

OTHER = "1" * 64


def claim(connection: Connection, key_id: UUID, name: str, *, at: float = 0, expired: float = -24) -> bool:
    return answers.claim(
        connection,
        key_id=key_id,
        idempotency_key=name,
        request_sha256=OTHER,
        now=moment(at),
        expired=moment(expired),
    )


def test_a_key_is_taken_once_until_it_expires(site: Site) -> None:
    taken = [claim(site.connection, site.key_id, "a") for _ in range(2)]
    assert taken == [True, False]
    answers.keep(site.connection, key_id=site.key_id, idempotency_key="a", answer={"id": 1})
    assert claim(site.connection, site.key_id, "a", at=25, expired=0) is False
    assert claim(site.connection, site.key_id, "a", at=25, expired=1) is True
    found = answers.of(site.connection, key_id=site.key_id, idempotency_key="a")
    assert found
    assert (found["answer"], found["created_at"]) == (None, moment(25))


def test_an_answer_belongs_to_its_access_key(site: Site) -> None:
    other = Site(site.connection)
    assert claim(site.connection, site.key_id, "a")
    assert claim(site.connection, other.key_id, "a")
    answers.keep(site.connection, key_id=site.key_id, idempotency_key="a", answer=[1])
    kept = [
        answers.of(site.connection, key_id=key_id, idempotency_key="a")
        for key_id in (site.key_id, other.key_id)
    ]
    assert [each and each["answer"] for each in kept] == [[1], None]
    assert answers.of(site.connection, key_id=site.key_id, idempotency_key="b") is None


def test_what_holds_a_name_is_forgotten_and_its_key_stays_taken(site: Site) -> None:
    for name, said in (("a", {"id": "j-1"}), ("b", {"id": "j-2"})):
        claim(site.connection, site.key_id, name)
        answers.keep(site.connection, key_id=site.key_id, idempotency_key=name, answer=said)
    # More names than are sought at once: the one that matters is in the second lot.
    answers.forget(site.connection, [f"none-{n}" for n in range(answers.SOUGHT_AT_ONCE)] + ["j-2"])
    found = {
        name: answers.of(site.connection, key_id=site.key_id, idempotency_key=name) for name in ("a", "b")
    }
    assert {name: row and (row["answer"], row["request_sha256"]) for name, row in found.items()} == {
        "a": ({"id": "j-1"}, OTHER),
        "b": (None, DIGEST),
    }
    assert claim(site.connection, site.key_id, "b") is False


def test_sweeping_takes_so_many_old_ones_of_one_key(site: Site) -> None:
    other = Site(site.connection)
    for name in "abc":
        claim(site.connection, site.key_id, name)
    claim(site.connection, site.key_id, "new", at=2)
    claim(site.connection, other.key_id, "a")
    swept = [answers.sweep(site.connection, key_id=site.key_id, expired=moment(1), most=2) for _ in range(3)]
    assert swept == [2, 1, 0]
    assert answers.of(site.connection, key_id=site.key_id, idempotency_key="new")
    assert answers.of(site.connection, key_id=other.key_id, idempotency_key="a")
