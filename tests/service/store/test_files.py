"""A file is attached once and stays as it is, until its content is erased."""

import hashlib

from service.store import files
from service.store.contents import inside
from tests.stored import LATER, NOW, Site, quote


def test_the_first_file_stays(site: Site) -> None:
    owner = quote(site.connection, site.firm_id)
    attached = [
        files.attach(site.connection, kind="quote", owner_id=owner, placed=inside(content), now=NOW)
        for content in (b"first", b"second")
    ]
    assert attached == [True, False]
    found = files.of(site.connection, kind="quote", owner_id=owner)
    assert found
    assert bytes(found["content"] or b"") == b"first"
    assert found["sha256"] == hashlib.sha256(b"first").hexdigest()
    assert files.of(site.connection, kind="sheet", owner_id=owner) is None


def test_owners_files_come_one_by_one_in_order(site: Site) -> None:
    one, other, nobody = (quote(site.connection, site.firm_id) for _ in range(3))
    for owner, kind in ((other, "quote"), (one, "quote"), (one, "sheet"), (nobody, "quote")):
        files.attach(site.connection, kind=kind, owner_id=owner, placed=inside(b"x"), now=NOW)
    found = [(row["kind"], row["owner_id"]) for row in files.of_owners(site.connection, [one, other])]
    assert found == [("quote", one), ("quote", other), ("sheet", one)]
    assert list(files.of_owners(site.connection, [])) == []


def test_erasing_keeps_the_digest_and_the_first_time(site: Site) -> None:
    owner, other = (quote(site.connection, site.firm_id) for _ in range(2))
    for each in (owner, other):
        files.attach(site.connection, kind="quote", owner_id=each, placed=inside(b"x"), now=NOW)
    for at in (NOW, LATER):
        files.erase(site.connection, [owner], at)
    erased, kept = (files.of(site.connection, kind="quote", owner_id=each) for each in (owner, other))
    assert erased
    assert (erased["content"], erased["erased_at"]) == (None, NOW)
    assert erased["sha256"] == hashlib.sha256(b"x").hexdigest()
    assert kept
    assert kept["content"] is not None
    assert (
        files.attach(site.connection, kind="quote", owner_id=owner, placed=inside(b"again"), now=LATER)
        is False
    )
