"""`baywright check` reads what lies outside the database too, and names what is not what was stored."""

import pytest

from service.store import contents
from service.store.session import reading, writing
from service.store.tables import photos
from service.usecases.keeping import content_checks
from tests.kept import Kept, photographed

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]


def photo_key(kept: Kept) -> str:
    return next(key for key in kept.store.held() if f"{kept.job['id']}/photo" in key)


def test_whole_objects_are_no_fault(kept: Kept) -> None:
    assert kept.faults() == []


@pytest.mark.parametrize("content", [b"", b"a fraud"], ids=["emptied", "altered"])
def test_an_altered_object_is_named(kept: Kept, content: bytes) -> None:
    key = photo_key(kept)
    was = kept.store.opened().get(key)
    kept.store.opened().put(key, content)
    (fault,) = kept.faults()
    assert f"The object {key} is not what was stored" in fault
    answer = kept.api.send("GET", kept.photo)
    assert answer.status_code == 503
    assert key in answer.json["detail"]
    kept.store.opened().put(key, was)
    assert kept.faults() == []


def test_an_object_that_is_gone_is_named(kept: Kept) -> None:
    key = photo_key(kept)
    was = kept.store.opened().get(key)
    kept.store.opened().delete(key)
    (fault,) = kept.faults()
    assert f"The object {key} is not in the object store" in fault
    kept.store.opened().put(key, was)


def test_what_its_row_let_go_of_since_the_check_began_is_no_fault(kept: Kept) -> None:
    """An erasure in the middle of a check, or a move: the check sees the rows as they were before."""
    photographed(kept.api, kept.job, shade=9)
    key = photo_key(kept)
    with reading(kept.database, still=True) as connection:
        mine = photos.c.object_key == key
        (row,) = [dict(each) for each in connection.execute(photos.select().where(mine)).mappings()]
        was = contents.content_of(connection, row)
        assert was is not None
        with writing(kept.database) as other:
            back = {"content": was, "object_key": None}
            other.execute(photos.update().where(mine).values(back))
        kept.store.opened().delete(key)
        assert list(content_checks.content_faults(connection, row, ("photo", ""), None)) == []  # type: ignore[arg-type]
    assert kept.faults() == []
