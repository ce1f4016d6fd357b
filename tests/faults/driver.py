"""The fault driver: clients write without a pause while processes, or the database, are killed at random.

Killed are those that answer, the one that works tasks off, those that are at a task (renderers and
deliverers), the process that all come from, and everything at once; with `--objects`, an object store too.

Afterwards every write that was answered as done must be there once and whole, none twice, and
nothing else. `docker/dev faults` runs it for minutes; a short form is among the tests.
"""

import argparse
import os
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from threading import Event, Thread

from service.store.migrate import upgrade
from service.store.session import open_database
from service.usecases.firm import keys
from tests import postgres
from tests.api import load_firms
from tests.faults import findings
from tests.faults.client import Client, Told
from tests.faults.server import Server
from tests.faults.stories import Stories
from tests.objects import ObjectStore, running
from tests.receiver import HERE, Receiver, receiving, trusted

CLIENTS = 4
WORKERS = 3
# How often each kind of blow falls, and the longest pause before the next one.
BLOWS = {"worker": 10, "working": 3, "task": 12, "arbiter": 1, "server": 1}
BLOWS_TO_POSTGRESQL = {"connections": 4, "database": 1}
BLOWS_TO_STORE = {"store": 6}
LONGEST_PAUSE_S = 0.8
# How many times as many as are wanted are killed for one of them to have been answering somebody.
CHANCES = 10
ROUND_S = 90
# Each document may be killed some times before it is given up.
MOST_AT_MAKERS = 40
AWAY = "service.errors.Unavailable: "
ROLES = {"sales": ["sales"], "crew": ["installer", "signatory"], "office": ["office"]}


@dataclass(slots=True, kw_only=True)
class Outcome:
    """What happened, and what was found wrong of it."""

    seed: str
    told: Told
    blows: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        writes = Counter(sent.what for sent in self.told.writes if sent.stored)
        return (
            f"seed {self.seed}: {self.told.attempts} requests, {self.told.broken} broken off, "
            f"{self.told.put_off} put off; stored {dict(writes)}; "
            f"killed {self.blows.total()}: {dict(self.blows)}; "
            f"{len(self.faults)} faults"
        )


def play(
    database_url: str,
    folder: Path,
    *,
    seed: str,
    seconds: float,
    least: int = 0,
    at_makers: int = MOST_AT_MAKERS,
    server: postgres.Server | None = None,
    store: ObjectStore | None = None,
) -> Outcome:
    """Load, kill, and look: for so long, and until so many were killed; then some that make what is left.

    `server` is the PostgreSQL, if it may be killed too; `store` has the documents, and is killed too.
    """
    outcome = Outcome(seed=seed, told=Told())
    with receiving(folder) as receiver:
        # Events are delivered to a receiver of the tests' own, which alone may lie on this machine.
        allowed = {"SSL_CERT_FILE": trusted(folder), "BAYWRIGHT_DELIVER_TO": HERE}
        allowed |= store.environment if store else {}
        baywright = Server(database_url, folder, workers=WORKERS, store=store, **allowed)
        _play(
            baywright, receiver, outcome, database_url, server, seconds=seconds, least=least, most=at_makers
        )
    outcome.faults += logged(baywright.log)
    return outcome


def _play(
    baywright: Server,
    receiver: Receiver,
    outcome: Outcome,
    database_url: str,
    server: postgres.Server | None,
    *,
    seconds: float,
    least: int,
    most: int,
) -> None:
    told, seed, held = outcome.told, outcome.seed, prepared(database_url)
    baywright.start()
    stop = Event()
    crews = [Client(baywright.port, held, told, f"{seed} client {number}") for number in range(CLIENTS)]
    threads = [
        Thread(target=_tell, args=(Stories(client, f"{seed}-{number}"), stop))
        for number, client in enumerate(crews)
    ]
    try:
        crews[0].subscribe(receiver.url)
        for thread in threads:
            thread.start()
        chance = random.Random(f"{seed} blows")
        _strike(baywright, server, outcome, chance, ends=time.monotonic() + seconds, least=least)
        stop.set()
        with _kept(baywright):
            for thread in threads:
                thread.join()
            _strike_makers(baywright, database_url, outcome, chance, most=most)
            objects = baywright.store and baywright.store.opened()
            outcome.faults = findings.faults(database_url, crews[0], receiver.received, objects)
    finally:
        stop.set()
        baywright.kill()


@contextmanager
def _kept(baywright: Server) -> Iterator[None]:
    """The server has a supervisor while the block runs."""
    over = Event()

    def supervise() -> None:
        while not over.wait(0.5):
            baywright.keep()

    supervisor = Thread(target=supervise)
    supervisor.start()
    try:
        yield
    finally:
        over.set()
        supervisor.join()


def prepared(database_url: str) -> dict[str, str]:
    """Keys by role, of a firm in a new schema."""
    upgrade(database_url)
    load_firms(database_url)
    database = open_database(database_url, operator=True)
    now = datetime.now(UTC)
    held = {
        role: keys.add(database, firm_code="demo", roles=roles, label=role, now=now)
        for role, roles in ROLES.items()
    }
    database.dispose()
    return held


def logged(log: Path) -> list[str]:
    """What the server did not expect, and how often. That a killed database is not to be had is expected."""
    lines = log.read_text(encoding="utf-8", errors="replace").splitlines()
    marks = ('"unexpected error"', "could not be made", "Traceback")
    ends = Counter(
        _end_of_trace(lines[place:]) for place, line in enumerate(lines) if any(m in line for m in marks)
    )
    return [f"logged {count} times: {end}" for end, count in ends.items() if AWAY not in end]


def _end_of_trace(lines: Sequence[str]) -> str:
    """What an error said last: in its line of JSON, or in the first line after its trace."""
    if lines[0].startswith("{"):
        return lines[0].rstrip('"}').rsplit("\\n", 1)[-1]
    return next((line for line in lines[1:] if line and not line.startswith(" ")), lines[0])


def _tell(stories: Stories, stop: Event) -> None:
    try:
        while not stop.is_set():
            stories.tell()
    except Exception as error:  # noqa: BLE001 - whatever ends a client is a finding
        stories.client.wrong(f"a client stopped: {error!r}")


def _enough(outcome: Outcome, least: int) -> bool:
    """Whether so many were killed and one of them was answering somebody, or that had chances enough."""
    struck = outcome.blows.total()
    return struck >= least and (outcome.told.broken > 0 or struck >= CHANCES * least)


def _strike(
    baywright: Server,
    server: postgres.Server | None,
    outcome: Outcome,
    chance: random.Random,
    *,
    ends: float,
    least: int,
) -> None:
    kinds = BLOWS | (BLOWS_TO_POSTGRESQL if server else {}) | (BLOWS_TO_STORE if baywright.store else {})
    while time.monotonic() < ends or not _enough(outcome, least):
        time.sleep(chance.uniform(0, LONGEST_PAUSE_S))
        (blow,) = chance.choices(list(kinds), weights=list(kinds.values()))
        baywright.keep()
        outcome.blows[blow] += strike(blow, baywright, server, chance)


def _strike_makers(
    baywright: Server, database_url: str, outcome: Outcome, chance: random.Random, *, most: int
) -> None:
    """Blows at those that make what is left to be made, while there is any."""
    struck = 0
    while struck < most and findings.is_left(database_url):
        time.sleep(chance.uniform(0.1, LONGEST_PAUSE_S))
        (blow,) = chance.choices(["task", "working"], weights=[4, 1])
        struck += (fell := strike(blow, baywright, None, chance))
        outcome.blows[blow] += fell


def strike(blow: str, baywright: Server, server: postgres.Server | None, chance: random.Random) -> bool:
    """One blow; what it ended is started again. False where there was nothing to strike."""
    if blow == "worker":
        answering = set(baywright.worker_pids()) - set(baywright.working_pids())
        return baywright.kill_one(sorted(answering), chance)
    if blow == "working":
        return baywright.kill_one(baywright.working_pids(), chance)
    if blow == "task":
        return baywright.kill_one(baywright.task_pids(), chance)
    if blow == "arbiter":
        baywright.kill_arbiter()
        baywright.start()
    elif blow == "server":
        baywright.kill()
        baywright.start()
    elif baywright.store and blow == "store":
        baywright.store.stop()
        time.sleep(chance.uniform(0, 1))
        baywright.store.start()
    elif server and blow == "connections":
        server.cut()
    elif server and blow == "database":
        server.crash()
        time.sleep(chance.uniform(0, 1))
        server.start()
    return True


@contextmanager
def sqlite() -> Iterator[Callable[[], tuple[str, postgres.Server | None]]]:
    """New SQLite databases."""
    folder = Path(tempfile.mkdtemp(prefix="baywright-faults-"))
    numbers = iter(range(10_000))
    try:
        yield lambda: (f"sqlite:///{folder}/{next(numbers)}.sqlite3", None)
    finally:
        shutil.rmtree(folder)


@contextmanager
def postgresql() -> Iterator[Callable[[], tuple[str, postgres.Server | None]]]:
    """New PostgreSQL databases, on a server that may be killed; one that was named is left alone."""
    if postgres.VARIABLE in os.environ:
        with postgres.throwaway_postgres() as new_database:
            yield lambda: (new_database(), None)
        return
    with postgres.own_postgres() as (server, new_database):
        yield lambda: (new_database(), server)


DATABASES = {"sqlite": sqlite, "postgresql": postgresql}


def main() -> int:
    """The long form: rounds of up to a minute and a half, on one kind of database after the other."""
    parser = argparse.ArgumentParser(prog="docker/dev faults", description=main.__doc__)
    parser.add_argument("--minutes", type=float, default=10, help="for so long, if that is over first")
    parser.add_argument("--kills", type=int, default=1_000_000, help="until so many were killed in all")
    parser.add_argument("--seed", default=os.urandom(4).hex(), help="repeats the choices of an earlier run")
    parser.add_argument("--objects", action="store_true", help="documents in an object store, killed too")
    parser.add_argument("--database", choices=DATABASES, action="append", help="only this one")
    wanted = parser.parse_args()
    databases = wanted.database or list(DATABASES)
    share_s = wanted.minutes * 60 / len(databases)
    print(f"seed {wanted.seed}", flush=True)
    failed = False
    for name in databases:
        with DATABASES[name]() as new_database:
            ends, number, killed = time.monotonic() + share_s, 0, 0
            while (left_s := ends - time.monotonic()) > 1 and killed < wanted.kills / len(databases):
                url, server = new_database()
                with (
                    tempfile.TemporaryDirectory(prefix="baywright-faults-") as folder,
                    running(Path(folder) / "objects") if wanted.objects else nullcontext() as store,
                ):
                    outcome = play(
                        url,
                        Path(folder),
                        seed=f"{wanted.seed}-{number}",
                        seconds=min(ROUND_S, left_s),
                        server=server,
                        store=store,
                    )
                print(f"{name}: {outcome}", flush=True)
                for fault in outcome.faults:
                    print(f"  {fault}", flush=True)
                failed = failed or bool(outcome.faults)
                number, killed = number + 1, killed + outcome.blows.total()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
