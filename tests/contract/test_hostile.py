"""Bad requests, made by hand: each gets its own clear answer, quickly, and leaves nothing behind.

A file in `hostile` holds the cases of one kind, each on a line under its name. A case's
body is `text`, `base64`, or a `base` that would be taken, with raw JSON `put` at pointers
("DROP" leaves the member out). Any text may be a list of pieces, some of them repeated or
counted up. A header that is null is not sent.
"""

import base64
import copy
import json
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes

import pytest
from flask import Flask
from sqlalchemy import Engine, func, select

from service.store.session import reading
from service.store.tables import metadata
from tests.api import DEMO, Api, operator_of, problem, small_building
from tests.sources import files

pytestmark = pytest.mark.usefixtures("papers_plain")

FOLDER = Path(__file__).with_name("hostile")
# Of the processor, so that a machine with much else to do judges alike.
SLOWEST_CPU_S = 5.0
LARGEST_ANSWER = 50_000


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object whose names are all different: of two cases of one name the first would be lost."""
    assert len({name for name, _ in pairs}) == len(pairs), pairs
    return dict(pairs)


CASES = {
    f"{path.stem}/{name}": case
    for path in files(FOLDER, "*.json")
    for name, case in json.loads(path.read_text(encoding="utf-8"), object_pairs_hook=_once_each).items()
}

NOBODYS = "0197f000-0000-7000-8000-000000000000"
SAID = {"happened_at": "2026-11-25T08:00:00Z", "by": "Crew 1"}
ENTRIES: Mapping[str, Mapping[str, Any]] = {
    "fill": {"cavity": "GF-N", "bay": 1, "bags": 4, "method": "hose"},
    "bag_check": {"masses_kg": [14.0, 14.1]},
    "tally": {"cavity": "GF-N", "bags": 4, "holes": "as_planned", "patched": "all"},
    "core": {"cavity": "GF-N", "bay": 1, "length_mm": 145, "mass_g": 60, "feel": "firm"},
    "block": {
        "cavity": "GF-N",
        "bay": 1,
        "length_mm": 300,
        "width_mm": 300,
        "depth_mm": 100,
        "mass_g": 500,
        "feel": "firm",
    },
    "box": {"volume_l": 20, "mass_g": 1100},
    "hole": {"tag": "P-HOSTILE", "cavity": "GF-N", "purpose": "entry", "width_mm": 100, "height_mm": 100},
    "patch": {
        "tag": "P-NONE",
        "cavity": "GF-N",
        "width_mm": 200,
        "height_mm": 200,
        "tape": "Tape 150",
        "wiped": True,
        "pressed_on": True,
    },
    "found": {"cavity": "GF-N", "depth_mm": [355, 358]},
    "check": {"code": "dust_and_respirator", "answer": "clear"},
    "checks": {"points": [{"code": "dust_and_respirator", "answer": "clear"}]},
    "delivery": {"bags": 100, "lot": "L1"},
    "reclaimed": {"mass_kg": 0},
    "hours": {"people": 2, "hours": 8},
    "note": {"remark": "Rain all morning."},
    "depth_check": {"cavity": "AT", "depths_mm": [300], "markers": 1},
    "air_test": {"n50_per_h": 0.6, "before_or_after": "before", "tested_by": "A tester"},
    "correction": {"entry": NOBODYS, "reason": "A slip", "replacement": None},
}


def _from_file(name: str) -> dict[str, Any]:
    sheet: dict[str, Any] = json.loads((DEMO / name).read_text(encoding="utf-8"))
    return sheet


def bases() -> dict[str, Any]:
    """Bodies that would be taken as they are."""
    quote = small_building()
    material = next(iter(sorted((DEMO / "materials").glob("*.json"))))
    sheet = _from_file(f"materials/{material.name}")
    prices = next(iter(sorted((DEMO / "price-lists").glob("*.json"))))
    practice = next(iter(sorted((DEMO / "practice").glob("*.json"))))
    return {
        "quote": quote,
        "takeoff": {name: value for name, value in quote.items() if name not in ("reference", "client")},
        "material": {name: value for name, value in sheet.items() if name != "code"},
        "price_list": {**_from_file(f"price-lists/{prices.name}"), "in_force_from": "2026-02-01"},
        "practice": {**_from_file(f"practice/{practice.name}"), "in_force_from": "2026-02-01"},
        "lance": {"length_mm": 1800, "diameter_mm": 42},
        "concession": {"condition": "stock_unreconciled", "reason": "A trial", "granted_by": "Office"},
        "link": {"days": 30},
        **{
            kind: {"entries": [{"kind": kind, "id": f"{NOBODYS[:-2]}{number:02}", **SAID, **entry}]}
            for number, (kind, entry) in enumerate(ENTRIES.items(), start=10)
        },
    }


BASES = bases()


@pytest.fixture(scope="module")
def api(app: Flask) -> Api:
    """One for all cases: making keys takes longer than refusing."""
    return Api(app)


@pytest.fixture(scope="module")
def database(app: Flask) -> Iterator[Engine]:
    """One for all cases."""
    with operator_of(app) as engine:
        yield engine


@pytest.fixture(scope="module")
def places(api: Api) -> dict[str, str]:
    """What stands in the places of addresses: an accepted quote, its job, and a draft."""
    job = api.job()
    return {"{job}": job["id"], "{quote}": job["quote_id"], "{draft}": api.quote()["id"]}


def joined(text: Any) -> str:
    """A text that is given in pieces."""
    pieces = text if isinstance(text, list) else [text]
    return "".join(each if isinstance(each, str) else _many(each) for each in pieces)


def _many(piece: Mapping[str, Any]) -> str:
    if "repeat" in piece:
        return piece["repeat"] * piece["times"]
    return "".join(piece["count"].replace("{}", str(number)) for number in range(piece["times"]))


def body_of(case: Mapping[str, Any]) -> bytes:
    """The bytes that a case sends."""
    if "base64" in case:
        return base64.b64decode(case["base64"])
    if "base" in case:
        return _changed(case).encode()
    return joined(case.get("text", "")).encode()


def _changed(case: Mapping[str, Any]) -> str:
    document, put = copy.deepcopy(BASES[case["base"]]), case.get("put", {})
    for number, (pointer, raw) in enumerate(put.items()):
        _put(document, pointer, number, drop=raw == "DROP")
    for name, list_name in (("repeat_cavity", "cavities"), ("repeat_entry", "entries")):
        if name in case:
            document[list_name] = _repeated(document[list_name][0], case[name])
    text = json.dumps(document)
    for number, raw in enumerate(put.values()):
        text = text.replace(f'"@{number}@"', joined(raw))
    return text


def _put(document: Any, pointer: str, number: int, *, drop: bool) -> None:
    *parents, last = [step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]
    for step in parents:
        document = document[int(step) if isinstance(document, list) else step]
    if drop:
        del document[last]
    elif isinstance(document, list):
        document[int(last) : int(last) + 1] = [f"@{number}@"]
    else:
        document[last] = f"@{number}@"


def _repeated(thing: dict[str, Any], times: int) -> list[dict[str, Any]]:
    named = "label" in thing
    return [{**thing, "label": f"C{n}"} if named else thing for n in range(times)]


def environment(case: Mapping[str, Any], places: Mapping[str, str]) -> dict[str, str]:
    """The address of a case as a server hands it on, nothing of it tidied up."""
    address = joined(case["path"])
    for place, thing in places.items():
        address = address.replace(place, thing)
    path, _, query = address.partition("?")
    return {
        "PATH_INFO": unquote_to_bytes(path).decode("latin-1"),
        "QUERY_STRING": query,
        "REQUEST_URI": address,
    }


def rows(database: Engine) -> dict[str, int]:
    """How many rows every table has."""
    counts = [
        select(func.count()).select_from(table).scalar_subquery().label(table.name)
        for table in metadata.sorted_tables
    ]
    with reading(database) as connection:
        found = connection.execute(select(*counts)).one()
    return dict(zip((table.name for table in metadata.sorted_tables), found, strict=True))


def test_there_are_cases_of_every_kind() -> None:
    kinds = Counter(name.split("/")[0] for name in CASES)
    assert kinds.keys() == {"address", "entries", "headers", "office", "photos", "quote", "syntax"}
    assert len(CASES) > 500


@pytest.mark.databases_in_turn("name")
@pytest.mark.parametrize("name", CASES)
def test_a_bad_request_is_answered_quickly_and_leaves_nothing(
    api: Api, places: dict[str, str], database: Engine, name: str
) -> None:
    case = CASES[name]
    headers = {
        "Authorization": f"Bearer {api.key(case['role'])}",
        "Content-Type": "application/json",
        "Idempotency-Key": name,
        "If-Match": '"1"' if case["method"] == "PUT" else None,
        **{key: value if value is None else joined(value) for key, value in case.get("headers", {}).items()},
    }
    body, before = body_of(case), rows(database)
    began = time.process_time()
    with api.client.open(
        "/",
        method=case["method"],
        data=body,
        headers={key: value for key, value in headers.items() if value is not None},
        environ_overrides=environment(case, places),
    ) as answer:
        took_s = time.process_time() - began
        expected = case["expected"]
        found = problem(answer, expected["status"])
    assert took_s < SLOWEST_CPU_S
    assert len(answer.data) < LARGEST_ANSWER
    assert rows(database) == before
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert expected.get("detail", "") in found["detail"]
    if "pointer" in expected:
        assert expected["pointer"] in [error["pointer"] for error in found["errors"]]


def test_the_bases_are_good(api: Api, places: dict[str, str]) -> None:
    """Else a case could be refused for something that it does not mean."""
    refused = {}
    for name, base in BASES.items():
        method, address, role = _taken_at(name)
        for place, thing in places.items():
            address = address.replace(place, thing)
        answer = api.send(method, address, base, role=role, Idempotency_Key=f"base {name}")
        if answer.status_code not in (200, 201):
            refused[name] = answer.json
    # This must name something that is there: an entry.
    pointers = {name: [error["pointer"] for error in found["errors"]] for name, found in refused.items()}
    assert pointers == {"correction": ["/entries/0/entry"]}


def _taken_at(base: str) -> tuple[str, str, str]:
    if base in ENTRIES:
        return "POST", "/v1/jobs/{job}/entries", "installer"
    return {
        "quote": ("POST", "/v1/quotes", "sales"),
        "takeoff": ("POST", "/v1/takeoffs", "sales"),
        "material": ("PUT", "/v1/materials/TRIAL", "office"),
        "price_list": ("POST", "/v1/price-lists", "office"),
        "practice": ("POST", "/v1/practice", "office"),
        "lance": ("PUT", "/v1/lances/TRIAL", "office"),
        "concession": ("POST", "/v1/jobs/{job}/concessions", "office"),
        "link": ("POST", "/v1/quotes/{quote}/links", "office"),
    }[base]
