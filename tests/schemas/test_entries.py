"""Entries of every kind are taken as the engine declares them, and each fault is named by its place."""

from typing import Any

import pytest

from schemas.entries import KINDS, MOST_AT_ONCE, REPLACEMENTS, Batch, EntryQuery, StoredEntry
from service.engine.site.entries import KINDS as DECLARED
from tests.pointers import refused

ID = "0197f000-0000-7000-8000-000000000001"
SAID = {"id": ID, "happened_at": "2026-11-25T08:00:00+01:00", "by": "A hand"}
TALLY: dict[str, Any] = {**SAID, "kind": "tally", "cavity": "W1", "bags": 3}
FOUND: dict[str, Any] = {**SAID, "kind": "found", "cavity": "W1"}


def batch(*entries: Any) -> set[str]:
    return refused(Batch(), {"entries": list(entries)})


def correction(replacement: Any) -> dict[str, Any]:
    return {**SAID, "kind": "correction", "entry": ID, "reason": "A slip.", "replacement": replacement}


@pytest.mark.parametrize("kind", DECLARED)
def test_each_kind_says_who_and_when(kind: str) -> None:
    schema = KINDS[kind]()
    missed = refused(schema, {"kind": kind})
    assert {"/id", "/happened_at", "/by"} <= missed
    # What the server notes is not the crew's to say.
    assert not {"received_at", "position"} & schema.fields.keys()


@pytest.mark.parametrize("kind", DECLARED)
def test_what_takes_the_place_of_an_entry_has_no_id_of_its_own(kind: str) -> None:
    assert KINDS[kind]().fields.keys() - REPLACEMENTS[kind]().fields.keys() == {"id"}


def test_a_correction_takes_no_correction_in_its_place() -> None:
    assert Batch.ALL_KINDS.keys() == DECLARED.keys() | {"correction"}
    assert "correction" not in REPLACEMENTS
    assert batch(correction({"kind": "correction"})) == {"/entries/0/replacement/kind"}


@pytest.mark.parametrize("said", ["as_planned", {}, {"omitted": [3]}, {"added": [{"bay": 2}]}])
def test_holes_are_as_planned_or_say_what_differs(said: Any) -> None:
    assert batch({**TALLY, "holes": said}) == set()


@pytest.mark.parametrize("said", ["all", {}, {"all_but": [1, 2]}])
def test_patched_is_all_or_all_but(said: Any) -> None:
    assert batch({**TALLY, "patched": said}) == set()


@pytest.mark.parametrize(
    ("changes", "wrong"),
    [
        ({"holes": "all"}, "holes"),
        ({"holes": ["as_planned"]}, "holes"),
        ({"holes": {"omitted": [0]}}, "holes/omitted/0"),
        ({"holes": {"added": [{"width_mm": 65}]}}, "holes/added/0/bay"),
        ({"holes": {"drilled": [1]}}, "holes/drilled"),
        ({"patched": "as_planned"}, "patched"),
        ({"patched": True}, "patched"),
        ({"patched": {"all_but": "1"}}, "patched/all_but"),
        ({"bags": 0}, "bags"),
        ({"bags": "3"}, "bags"),
        ({"mass_kg": -1}, "mass_kg"),
        ({"bulge_mm": 501}, "bulge_mm"),
        ({"method": "shovel"}, "method"),
        ({"photos": [ID, "x"]}, "photos/1"),
        ({"happened_at": "2026-11-25T08:00:00"}, "happened_at"),
        ({"id": "7"}, "id"),
        ({"by": " "}, "by"),
        ({"position": 1}, "position"),
        ({"received_at": "2026-11-25T08:00:00Z"}, "received_at"),
        ({"kind": "guess"}, "kind"),
        ({"kind": None}, "kind"),
        ({"kind": ["tally"]}, "kind"),
    ],
    ids=str,
)
def test_what_cannot_be_is_refused_by_its_place(changes: dict[str, Any], wrong: str) -> None:
    assert batch(TALLY, {**TALLY, **changes}) == {f"/entries/1/{wrong}"}


def test_a_depth_may_stand_alone_or_in_a_list() -> None:
    (one, several) = Batch().load(
        {"entries": [{**FOUND, "depth_mm": 140}, {**FOUND, "depth_mm": [138, 140.5]}]}
    )["entries"]
    assert (one["depth_mm"], several["depth_mm"]) == ([140.0], [138.0, 140.5])
    assert batch({**FOUND, "depth_mm": []}) == {"/entries/0/depth_mm"}
    assert batch({**FOUND, "depth_mm": [140, "x"]}) == {"/entries/0/depth_mm/1"}


def test_an_entry_is_struck_or_replaced_and_faults_are_named_within() -> None:
    right = {name: value for name, value in TALLY.items() if name != "id"}
    assert batch(correction(right), correction(None)) == set()
    assert batch(correction({**right, "bags": 0})) == {"/entries/0/replacement/bags"}
    assert batch(correction(TALLY)) == {"/entries/0/replacement/id"}
    assert batch(correction("tally")) == {"/entries/0/replacement"}


@pytest.mark.parametrize(
    "entries", [[], None, {}, [TALLY] * (MOST_AT_ONCE + 1)], ids=["none", "null", "object", "many"]
)
def test_a_batch_holds_some_entries(entries: Any) -> None:
    assert refused(Batch(), {"entries": entries}) == {"/entries"}
    assert refused(Batch(), {}) == {"/entries"}


@pytest.mark.parametrize("after", ["-1", "1.5", "", "x", "9999999999", "99999999999"])
def test_the_ledger_is_asked_from_a_position_on(after: str) -> None:
    assert refused(EntryQuery(), {"after": after}) == {"/after"}
    assert EntryQuery().load({"after": "0"}) == {"after": 0}
    assert EntryQuery().load({}) == {}


def test_an_entry_is_shown_without_the_key_that_sent_it() -> None:
    assert not StoredEntry().fields.keys() & {"key_id", "firm_id", "job_id"}
