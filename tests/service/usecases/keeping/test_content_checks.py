"""`baywright check` reads what lies outside the database too, and names what is not what was stored."""

import hashlib
import re
from pathlib import Path

import pytest

from service.store import contents
from service.store.session import reading, writing
from service.store.tables import photos
from service.usecases.keeping import checks, content_checks
from service.usecases.keeping.content_checks import Contents, Share
from tests.commands import baywright
from tests.kept import Kept, photographed
from tests.objects import KEY_ID, SECRET

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
        assert list(content_checks.content_faults(connection, row, ("photo", ""), None, Contents())) == []  # type: ignore[arg-type]
    assert kept.faults() == []


def test_an_altered_object_is_named_by_the_part_that_it_is_in(kept: Kept) -> None:
    key, parts = photo_key(kept), 3
    was = kept.store.opened().get(key)
    kept.store.opened().put(key, b"a fraud")
    shares = [Share(part=part, parts=parts) for part in range(1, parts + 1)]
    reports = [checks.verify(kept.database, share=share) for share in shares]
    kept.store.opened().put(key, was)
    found = [len(report.faults) for report in reports]
    assert found == [int(share.has(hashlib.sha256(was).hexdigest())) for share in shares]
    assert sum(found) == 1
    whole = checks.verify(kept.database).contents
    assert whole.objects_read == whole.objects == len(kept.store.held())
    assert [report.contents.files for report in reports] == [whole.files] * parts
    assert sum(report.contents.objects_read for report in reports) == whole.objects


def test_parts_are_about_as_large() -> None:
    digests = [hashlib.sha256(str(number).encode()).hexdigest() for number in range(3000)]
    sizes = [sum(Share(part=part, parts=30).has(each) for each in digests) for part in range(1, 31)]
    assert sum(sizes) == 3000
    # Of a hundred on average, by six times the square root of that.
    assert all(40 < size < 160 for size in sizes)


def test_the_command_says_how_much_it_read_and_of_what_part(kept: Kept, tmp_path: Path) -> None:
    url = kept.api.app.extensions["settings"].operator_url
    stored = {"objects_url": kept.store.url, "objects_key_id": KEY_ID, "objects_secret": SECRET}
    count = len(kept.store.held())
    assert f"{count} of {count} objects in the bucket read: all of them." in baywright(
        tmp_path, "check", database_url=url, **stored
    )
    read = 0
    for part in ("1/2", "2/2"):
        said = baywright(tmp_path, "check", "--objects", part, database_url=url, **stored)
        found = re.search(r"(\d+) of (\d+) objects in the bucket read: part (\d) of (\d)\.", said)
        assert found
        assert (int(found[2]), f"{found[3]}/{found[4]}") == (count, part)
        read += int(found[1])
    assert read == count


@pytest.mark.parametrize("part", ["0/30", "31/30", "3", "3/0", "a/b", "-1/3"])
def test_a_part_that_there_is_not_is_refused(tmp_path: Path, part: str) -> None:
    assert "3/30" in baywright(tmp_path, "check", "--objects", part, code=2)
