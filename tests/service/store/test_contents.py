"""Contents lie in their rows or in objects that these name, and are read as they were stored."""

from collections.abc import Iterator
from uuid import UUID, uuid4

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError

from service.engine.ground.messages import message
from service.errors import ContentUnavailable, SettingsWrong
from service.store import contents, files, photos
from service.store.contents import Placed, inside, place
from service.store.session import open_database, reading, writing
from tests.objects import ObjectStore
from tests.stored import DIGEST, NOW, Site

pytestmark = pytest.mark.both_databases


@pytest.fixture
def outside(database_url: str, store: ObjectStore) -> Iterator[Engine]:
    """The module's database with an object store beside it."""
    engine = open_database(database_url, operator=True, objects=store.opened())
    yield engine
    engine.dispose()


@pytest.fixture
def own(outside: Engine) -> Site:
    with writing(outside) as connection:
        return Site(connection)


def kept(database: Engine, own: Site, content: bytes = b"a paper") -> Placed:
    placed = place(database, firm_id=own.firm_id, owner_id=own.job_id, name="quote", content=content)
    with writing(database) as connection:
        files.attach(connection, kind="quote", owner_id=own.job_id, placed=placed, now=NOW)
    return placed


def taken(database: Engine, own: Site, content: bytes = b"a picture") -> tuple[UUID, Placed]:
    photo_id = uuid4()
    name = f"{contents.PHOTO}/{photo_id}"
    placed = place(database, firm_id=own.firm_id, owner_id=own.job_id, name=name, content=content)
    row = {"id": photo_id, "sent_sha256": DIGEST, "width_px": 4, "height_px": 3, "received_at": NOW}
    with writing(database) as connection:
        photos.add(connection, {**own.owned, **row, **placed})
    return photo_id, placed


def row(database: Engine, own: Site, name: str = "quote") -> Placed:
    with reading(database) as connection:
        found = contents.row_of(connection, own.job_id, name)
    assert found
    return found


def test_without_a_store_a_content_lies_in_its_row(database: Engine, own: Site) -> None:
    placed = kept(database, own)
    assert placed == inside(b"a paper")
    assert contents.content_of(database, row(database, own)) == b"a paper"


def test_with_one_it_lies_under_firm_and_owner_and_the_row_has_none(
    outside: Engine, own: Site, store: ObjectStore
) -> None:
    placed = kept(outside, own)
    key = str(placed["object_key"])
    assert key.startswith(f"{own.firm_id}/{own.job_id}/quote/{placed['sha256']}.")
    assert store.file(key).read_bytes() == b"a paper"
    assert row(outside, own)["content"] is None
    assert row(outside, own)["size_bytes"] == 7
    assert contents.content_of(outside, row(outside, own)) == b"a paper"
    # The same once more is another object: what is put is never what is named already.
    again = place(outside, firm_id=own.firm_id, owner_id=own.job_id, name="quote", content=b"a paper")
    assert again["object_key"] != key
    contents.take_away(outside, again)
    assert contents.content_of(outside, row(outside, own)) == b"a paper"


def test_what_is_not_what_was_stored_is_never_given_out(
    outside: Engine, own: Site, store: ObjectStore
) -> None:
    key = str(kept(outside, own)["object_key"])
    store.opened().put(key, b"a fraud")
    with pytest.raises(ContentUnavailable) as raised:
        contents.content_of(outside, row(outside, own))
    assert raised.value.is_lost
    assert raised.value.detail == message("store.object_altered", key=key)


def test_a_service_that_was_not_told_of_the_store_says_so(
    outside: Engine, database: Engine, own: Site
) -> None:
    kept(outside, own)
    with pytest.raises(SettingsWrong, match="BAYWRIGHT_OBJECTS_URL"):
        contents.content_of(database, row(database, own))


def test_an_object_is_named_until_its_row_lets_go_of_it(outside: Engine, own: Site) -> None:
    keys = [str(kept(outside, own)["object_key"]), str(taken(outside, own)[1]["object_key"])]
    unnamed = f"{keys[0][:-1]}x"
    nobodys = f"{own.firm_id}/{uuid4()}/quote/{DIGEST}.x"
    foreign = ("notes.txt", f"{own.firm_id}/readme/quote/x", f"{own.firm_id}/{own.job_id}/photo/none/x")
    with reading(outside) as connection:
        assert all(contents.is_named(connection, key) for key in (*keys, *foreign))
        assert not any(contents.is_named(connection, key) for key in (unnamed, nobodys))
        assert not any(contents.was_let_go(connection, key) for key in (*keys, nobodys, *foreign))
        assert contents.lie_outside(connection, [own.job_id])
        assert not contents.lie_outside(connection, [uuid4()])
    with writing(outside) as connection:
        files.erase(connection, [own.job_id], NOW)
        photos.erase(connection, own.job_id, NOW)
    with reading(outside) as connection:
        assert not any(contents.is_named(connection, key) for key in keys)
        assert all(contents.was_let_go(connection, key) for key in keys)
        assert not contents.lie_outside(connection, [own.job_id])
    assert contents.content_of(outside, row(outside, own)) is None


def test_a_content_is_moved_where_it_still_lies(outside: Engine, database: Engine, own: Site) -> None:
    kept(database, own)
    photo_id, _ = taken(outside, own)
    name = f"{contents.PHOTO}/{photo_id}"
    with reading(outside) as connection:
        assert contents.names_of(connection, [own.job_id], outside=False) == [(own.job_id, "quote")]
        assert contents.names_of(connection, [own.job_id], outside=True) == [(own.job_id, name)]
    was = row(outside, own)
    placed = place(outside, firm_id=own.firm_id, owner_id=own.job_id, name="quote", content=b"a paper")
    with writing(outside) as connection:
        assert contents.move(connection, own.job_id, "quote", was=was, placed=placed)
        assert not contents.move(connection, own.job_id, "quote", was=was, placed=placed)
    assert contents.content_of(outside, row(outside, own)) == b"a paper"
    was = row(outside, own, name)
    with writing(outside) as connection:
        assert contents.move(connection, own.job_id, name, was=was, placed=inside(b"a picture"))
    assert contents.content_of(database, row(outside, own, name)) == b"a picture"


@pytest.mark.parametrize(
    ("was_outside", "changed"),
    [
        (False, {"content": b"other", "object_key": None}),
        (False, {"content": None, "object_key": None}),
        (False, {"content": b"a paper", "object_key": "both"}),
        (False, {"content": None, "object_key": "elsewhere", "sha256": DIGEST}),
        (False, {"content": None, "object_key": "elsewhere", "size_bytes": 1}),
        (True, {"object_key": "another"}),
        (True, {"content": b"another length", "object_key": None}),
    ],
    ids=str,
)
def test_the_database_lets_nothing_but_a_move_through(
    outside: Engine, database: Engine, own: Site, was_outside: bool, changed: dict[str, object]
) -> None:
    kept(outside if was_outside else database, own)
    mine = files.files.c.owner_id == own.job_id
    with pytest.raises(DBAPIError), writing(outside) as connection:
        connection.execute(files.files.update().where(mine).values(**changed))


def test_on_postgresql_only_what_was_stored_comes_back(outside: Engine, own: Site) -> None:
    if outside.dialect.name != "postgresql":
        return
    kept(outside, own)
    mine = files.files.c.owner_id == own.job_id
    with pytest.raises(DBAPIError), writing(outside) as connection:
        connection.execute(files.files.update().where(mine).values(content=b"a fraud", object_key=None))
