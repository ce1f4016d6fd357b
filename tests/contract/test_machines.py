"""Server and workers on machines of their own, which share PostgreSQL's address, or that and a bucket's."""

import json
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import make_url

from tests.api import PUBLIC
from tests.faults.client import Client, Told
from tests.faults.driver import prepared
from tests.faults.stories import small
from tests.machines import HERE, Machine, own_network
from tests.objects import ObjectStore, running
from tests.postgres import own_postgres

pytestmark = pytest.mark.slow
PORT, QUOTES, TRIES, WITHIN_S = 8000, 6, 10, 60
SERVE = ("serve", "--host", "0.0.0.0", "--port", str(PORT), "--no-work")
WORK = ("work",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A server and two workers, each alone, a client of the server, and the bucket, where there is one."""

    client: Client
    workers: tuple[Machine, Machine]
    store: ObjectStore | None

    def offered(self, reference: str) -> str:
        """The path of a new quotation's document, which a worker is to make."""
        made = self.client.write("quote", "POST", "/v1/quotes", small(reference), role="sales").answer
        assert made is not None
        path = f"/v1/quotes/{made.json['id']}"
        assert self.client.write("offer", "POST", f"{path}/offer", role="sales").stored
        return f"{path}/document"


@pytest.fixture(scope="module", params=["alone", "bucket"])
def place(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    folder = tmp_path_factory.mktemp("machines")
    with _network(), own_postgres(listens=HERE) as (_, new):
        held = prepared(url := new())
        outside = running(folder / "store", HERE) if request.param == "bucket" else nullcontext()
        with outside as store:
            settings = {
                "BAYWRIGHT_DATABASE_URL": make_url(url).set(host=HERE, query={}).render_as_string(False),
                "BAYWRIGHT_SECRET_KEY": "a secret for the tests only",
                "BAYWRIGHT_PUBLIC_URL": PUBLIC,
                **(store.environment if store else {}),
            }
            with _running(folder, settings, SERVE, WORK, WORK) as (server, *workers):
                client = Client(PORT, held, Told(), "a client", server.address)
                yield Place(client=client, workers=(workers[0], workers[1]), store=store)


@contextmanager
def _network() -> Iterator[None]:
    try:
        with own_network():
            yield
    except PermissionError as error:
        pytest.skip(str(error))


@contextmanager
def _running(
    folder: Path, settings: Mapping[str, str], *commands: tuple[str, ...]
) -> Iterator[list[Machine]]:
    machines = [Machine(folder, n, settings, *words) for n, words in enumerate(commands, start=1)]
    try:
        for machine in machines:
            machine.start()
        yield machines
    finally:
        for machine in machines:
            machine.stop()


def _made_by(machine: Machine) -> dict[str, int]:
    """The paths of the quotations that a worker has said it made, and by which attempt."""
    lines = [json.loads(line) for line in machine.log.read_text(encoding="utf-8").splitlines()]
    done = [line for line in lines if line.get("kind") == "quote" and line["error"] is None]
    return {f"/v1/quotes/{line['subject']}/document": line["attempt"] for line in done}


def _until(condition: Callable[[], object]) -> None:
    deadline = time.monotonic() + WITHIN_S
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(0.01)


def test_what_one_machine_is_asked_for_others_make(place: Place) -> None:
    one, other = place.workers
    paths: set[str] = set()
    while not (_made_by(one) and _made_by(other)) and len(paths) < TRIES * QUOTES:
        batch = {place.offered(f"House {number}") for number in range(QUOTES)}
        assert all(place.client.read(path, "sales").body.startswith(b"%PDF-") for path in batch)
        paths |= batch
    # They say so when it is settled, which is later.
    _until(lambda: _made_by(one).keys() | _made_by(other).keys() == paths)
    assert _made_by(one)
    assert _made_by(other)
    assert place.store is None or len(place.store.held()) == len(paths)


def test_what_fails_with_its_machine_another_carries_through(place: Place) -> None:
    # What was begun when its machine failed, and no earlier or later, is another's second attempt.
    assert any(_attempts_of_another(place) == 2 for _ in range(TRIES))


def _attempts_of_another(place: Place) -> int:
    """By which attempt the worker that did not fail made a quotation; 0 where it did not make it."""
    path = place.offered("Broken off")
    _until(lambda: any(worker.at_work() for worker in place.workers))
    failed, other = sorted(place.workers, key=lambda worker: not worker.at_work())
    failed.stop()
    assert place.client.read(path, "sales").body.startswith(b"%PDF-")
    _until(lambda: path in _made_by(other) | _made_by(failed))
    failed.start()
    return _made_by(other).get(path, 0)
