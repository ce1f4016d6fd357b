"""Every list and search of the API, on PostgreSQL: a firm with very many quotes against one with a thousand.

Both draft as many a day, and each answers as many rows. What counts is the processor, of the service and of
its connection's server process together; the least of many turns. BAYWRIGHT_BENCH_QUOTES says how many
quotes the large firm has: a million take twenty minutes to be made, and 20 GB. BAYWRIGHT_BENCH_NEIGHBOURS
says how many more firms have as many: what a database knows of its tables is of all firms, and of none alone.
"""

import os
from collections.abc import Iterator, Mapping

import pytest

from tests.bench.place import Place, grown_place, processor_ns
from tests.postgres import own_postgres

QUOTES = {"small": 1_000, "large": int(os.environ.get("BAYWRIGHT_BENCH_QUOTES", "10000"))}
NEIGHBOURS = int(os.environ.get("BAYWRIGHT_BENCH_NEIGHBOURS", "7"))
TURNS = int(os.environ.get("BAYWRIGHT_BENCH_TURNS", "12"))
WANTED = 1.5

SEARCHES: Mapping[str, Mapping[str, str]] = {
    "all": {},
    **{f"state {state}": {"state": state} for state in ("draft", "offered", "accepted", "withdrawn")},
    "offered, the last page": {"state": "offered", "after": "{last_offered}"},
    "of a day": {"from": "{day}", "to": "{day}"},
    "a page in the middle": {"after": "{middle}"},
    "by number": {"number": "{number}"},
    "by a number that there is not": {"number": "Q-1900-0000001"},
    "by reference": {"reference": "{reference}"},
    "by the beginning of a word": {"client": "bren*"},
    "by a beginning that there is not": {"client": "zzz*"},
    "by a word of the client": {"client": "brenabers"},
    "by a word that there is not": {"client": "nobody"},
    "by a telephone": {"client": "{i}"},
    "by a word that all have, in the middle": {"client": "client", "after": "{middle}"},
    "by a place": {"place": "brenaberweg"},
    "by two words that no quote has both": {"place": "{street} {elsewhere}"},
    "by a label that all have": {"build_up": "attic"},
    "by a label that few have": {"build_up": "bay window", "limit": "2"},
    "by label and state": {"build_up": "attic", "state": "withdrawn"},
}
JOBS: Mapping[str, Mapping[str, str]] = {
    "all": {},
    "state open": {"state": "open"},
    "by number": {"number": "{job_number}"},
    "on a day": {"day": "{day}"},
    "of a crew": {"crew": "{crew}"},
    "by a word of the client": {"client": "brenabers", "limit": "3"},
    "by a label that all have": {"build_up": "attic"},
    "by a word that there is not": {"client": "nobody"},
}
OF_DAYS = {"since": "{day}", "until": "{day}"}
OTHERS: Mapping[str, Mapping[str, str]] = {
    "/v1/quotes/{quote}": {},
    "/v1/jobs/{job}": {},
    **{f"/v1/jobs/{{job}}/{of}": {} for of in ("entries", "certificates", "supplements", "photos")},
    "/v1/events": {"after": "{event}", "limit": "20"},
    "/v1/orders": {"job": "{job_number}"},
    "/v1/stock": {"limit": "20"},
    **{f"/v1/exports/{kind}": OF_DAYS for kind in ("quotes", "parts", "certificates")},
    **{f"/v1/{of}": {} for of in ("crews", "keys", "subscriptions", "anchors", "materials")},
}
CASES = {
    **{f"/v1/quotes {name}": ("/v1/quotes", {"limit": "20", **query}) for name, query in SEARCHES.items()},
    **{f"/v1/jobs {name}": ("/v1/jobs", {"limit": "10", **query}) for name, query in JOBS.items()},
    **{path: (path, dict(query)) for path, query in OTHERS.items()},
}


@pytest.fixture(scope="module")
def grown() -> Iterator[Place]:
    around = {f"neighbour{number}": QUOTES["large"] for number in range(NEIGHBOURS)}
    with own_postgres() as (server, new), grown_place(server, new(), QUOTES | around) as place:
        yield place


@pytest.mark.bench
def test_lists_take_no_longer_however_much_there_is(grown: Place, capsys: pytest.CaptureFixture[str]) -> None:
    pid = grown.server_pid()
    ratios = {}
    for name, (path, query) in CASES.items():
        calls = {code: grown.call(code, path, query) for code in QUOTES}
        spent: dict[str, list[int]] = {code: [] for code in calls}
        rows: dict[str, int] = {}
        for _ in range(TURNS):
            for code, call in calls.items():
                before = processor_ns(pid)
                rows[code] = call()
                spent[code].append(processor_ns(pid) - before)
        small, large = (min(spent[code]) / 1e6 for code in QUOTES)
        ratios[name] = large / small
        with capsys.disabled():
            said = f"{rows['small']:3} and {rows['large']:3} rows, {small:6.2f} and {large:7.2f} ms"
            print(f"\n{name:62} {said}: {large / small:.2f}", end="")
    with capsys.disabled():
        print(f"\nslower than {WANTED}: {[name for name, ratio in ratios.items() if ratio > WANTED]}")
    assert max(ratios.values()) < 2 * WANTED
