"""The ledger gives entries in the order of commit, and knows which was corrected by which."""

from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy.exc import IntegrityError

from service.store import entries
from tests.stored import Site


def test_entries_in_the_order_of_commit(site: Site) -> None:
    third, first, second = (
        site.entry(position, kind) for position, kind in ((3, "fill"), (1, "note"), (2, "fill"))
    )
    other = Site(site.connection)
    other.entry(7)

    def found(**asked: Any) -> list[Any]:
        return [row["id"] for row in entries.of_job(site.connection, site.job_id, **asked)]

    assert found() == [first, second, third]
    assert found(kinds=["fill"]) == [second, third]
    assert found(kinds=[]) == []
    assert found(after=2) == [third]
    assert found(kinds=["note"], after=1) == []
    assert entries.last_position(site.connection, site.job_id) == 3
    assert entries.last_position(site.connection, uuid4()) == 0


def test_an_id_is_known_in_its_job_alone(site: Site) -> None:
    entry = site.entry(1)
    other = Site(site.connection)
    twin = other.entry(1, id=entry, data={"of": "another job"})
    assert entries.of_ids(site.connection, site.job_id, [entry, uuid4()]).keys() == {entry}
    assert entries.of_ids(site.connection, other.job_id, [twin])[entry]["data"] == {"of": "another job"}


@pytest.mark.parametrize("twin", [{"position": 1}, {"position": 3, "corrects": True}])
def test_a_position_and_a_correction_are_given_once(site: Site, twin: dict[str, Any]) -> None:
    entry = site.entry(1)
    site.entry(2, "correction", corrects=entry)
    columns = {**twin, "corrects": entry} if "corrects" in twin else twin
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        site.entry(**columns)


def test_an_entry_of_another_job_cannot_be_corrected(site: Site) -> None:
    entry = site.entry(1)
    other = Site(site.connection)
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        other.entry(1, "correction", corrects=entry)


def test_corrections_by_what_they_correct(site: Site) -> None:
    entry = site.entry(1)
    correction = site.entry(2, "correction", corrects=entry)
    assert entries.corrections(site.connection, site.job_id) == {entry: correction}
    assert entries.corrections(site.connection, Site(site.connection).job_id) == {}


def test_a_part_counts_by_what_last_said_so(site: Site) -> None:
    """W1 stands; W2 was struck; W3 was meant as W4, and that was meant as W5; a note became W6."""
    site.entry(1, "tally", data={"cavity": "W1"})
    struck, mistaken, note = (
        site.entry(2, "tally", data={"cavity": "W2"}),
        site.entry(3, "tally", data={"cavity": "W3"}),
        site.entry(4, "note", data={}),
    )
    site.entry(5, "correction", corrects=struck, data={"replacement": None})
    again = site.entry(
        6, "correction", corrects=mistaken, data={"replacement": {"kind": "tally", "cavity": "W4"}}
    )
    site.entry(7, "correction", corrects=again, data={"replacement": {"kind": "tally", "cavity": "W5"}})
    site.entry(8, "correction", corrects=note, data={"replacement": {"kind": "tally", "cavity": "W6"}})
    site.entry(9, "note", data={"cavity": "W7"})
    other = Site(site.connection)
    assert entries.parts_tallied(site.connection, [site.job_id, other.job_id]) == {
        site.job_id: {"W1", "W5", "W6"}
    }
    for labels, found in ((["W1", "W2", "W4"], {"W1"}), (["W5", "W9"], {"W5"})):
        assert entries.parts_tallied(site.connection, [site.job_id], labels) == {site.job_id: found}
    assert entries.parts_tallied(site.connection, [site.job_id], ["W2"]) == {}


def test_newer_entries_that_may_be_of_a_part_are_its_own_and_those_that_name_none(site: Site) -> None:
    site.entry(1, "note", data={"cavity": "W1"})
    note = site.entry(2, "note", data={"cavity": "W2"})
    site.entry(3, "correction", corrects=note, data={"replacement": None})
    site.entry(4, "checks", data={"cavities": ["W2"]})
    site.entry(5, "note", data={"cavity": "W1"})
    for after, labels, found in ((1, ["W2"], [2, 3, 4]), (0, ["W1"], [1, 3, 4, 5]), (4, ["W3"], [])):
        rows = entries.newer_of_parts(site.connection, site.job_id, after, labels)
        assert [row["position"] for row in rows] == found
