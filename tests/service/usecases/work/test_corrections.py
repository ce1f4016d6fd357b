"""Corrections in one batch with what they correct."""

from typing import Any
from uuid import UUID

import pytest

from service.errors import InvalidInput
from service.usecases.work.corrections import Sent, in_turn
from tests.api import Api, problem

pytestmark = pytest.mark.usefixtures("papers_plain")

ENTRY, FIRST, SECOND = (f"0197f000-0000-7000-8000-00000000000{number}" for number in (1, 2, 3))


def said(entry_id: str, corrects: str | None = None) -> dict[str, Any]:
    by = {"id": entry_id, "happened_at": "2026-11-25T08:00:00Z", "by": "Crew 1"}
    if corrects is None:
        return {"kind": "reclaimed", "mass_kg": 0, **by}
    return {"kind": "correction", "entry": corrects, "reason": "A slip.", **by}


def sent(*pairs: tuple[str, str | None]) -> list[Sent]:
    rows = ({"id": UUID(one), "corrects": of and UUID(of)} for one, of in pairs)
    return [Sent(index=index, row=row) for index, row in enumerate(rows)]


def test_none_comes_before_the_one_that_it_corrects() -> None:
    as_sent = sent((SECOND, FIRST), (FIRST, ENTRY), (ENTRY, None))
    assert list(in_turn(as_sent)) == as_sent[::-1]
    in_order = as_sent[::-1]
    assert list(in_turn(in_order)) == in_order


def test_corrections_of_one_another_are_refused() -> None:
    with pytest.raises(InvalidInput) as refused:
        list(in_turn(sent((ENTRY, None), (FIRST, SECOND), (SECOND, FIRST))))
    assert [each.pointer for each in refused.value.faults] == ["/entries/1/entry", "/entries/2/entry"]


def test_a_batch_may_tell_a_correction_first(api: Api) -> None:
    job = api.job()
    batch = [said(SECOND, FIRST), said(FIRST, ENTRY), said(ENTRY)]
    answer = api.record(job, batch)
    assert answer.status_code == 201
    assert [(each["id"], each["corrected_by"]) for each in answer.json["entries"]] == [
        (SECOND, None),
        (FIRST, SECOND),
        (ENTRY, FIRST),
    ]
    circle = [said(entry_id[:-1] + "9", entry_id[:-1] + "8") for entry_id in (FIRST,)]
    circle.append(said(FIRST[:-1] + "8", FIRST[:-1] + "9"))
    assert len(problem(api.record(job, circle), 422)["errors"]) == 2
