"""A real server in processes of its own: started, and killed without a warning."""

import os
import random
import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from urllib.error import URLError
from urllib.request import Request, urlopen

from service.serve import worker
from tests.objects import ObjectStore

METRICS_KEY = "a key of the tests' own"
ROOT = Path(__file__).parents[2]
# A loaded machine takes its time, and a database that was killed recovers first.
STARTS_WITHIN_S = 90
SERVE = ("-m", "service.cli")


class Server:
    """`baywright serve` on a free port of this machine."""

    def __init__(
        self,
        database_url: str,
        folder: Path,
        *,
        workers: int,
        program: tuple[str, ...] = SERVE,
        store: ObjectStore | None = None,
        **more: str,
    ) -> None:
        self.store = store
        self.port, self.workers, self.program = _free_port(), workers, program
        self.log = folder / "server.log"
        self.environment = {
            **os.environ,
            "BAYWRIGHT_DATABASE_URL": database_url,
            "BAYWRIGHT_SECRET_KEY": "a secret for the tests only",
            "BAYWRIGHT_PUBLIC_URL": "https://baywright.example",
            "BAYWRIGHT_METRICS_KEY": METRICS_KEY,
            "BAYWRIGHT_LOG_LEVEL": "ERROR",
            "BAYWRIGHT_RATE_PER_MINUTE": "1000000",
            "BAYWRIGHT_PUBLIC_RATE_PER_MINUTE": "1000000",
            "TMPDIR": str(folder),
            **more,
        }

    def start(self) -> None:
        """Start, again and again until it stays and is ready."""
        deadline = time.monotonic() + STARTS_WITHIN_S
        self._run()
        while not self._is_ready():
            if time.monotonic() > deadline:
                raise RuntimeError(f"The server did not start: {self.log.read_text()[-4000:]}")
            if self.process.poll() is not None:
                self._run()
            time.sleep(0.05)

    def figures(self) -> str:
        """Its figures, as whoever watches it reads them."""
        key = {"Authorization": f"Bearer {METRICS_KEY}"}
        with urlopen(Request(f"http://127.0.0.1:{self.port}/metrics", headers=key), timeout=30) as answer:
            text: str = answer.read().decode()
        return text

    def keep(self) -> None:
        """Start it again if it ended by itself, as what supervises a server does.

        Workers whose arbiter was killed answer for a moment longer, so that a new server may seem to be
        ready that then ends for want of its port or its database.
        """
        if self.process.poll() is not None:
            self.start()

    def _run(self) -> None:
        command = [sys.executable, *self.program, "serve"]
        options = ["--port", str(self.port), "--workers", str(self.workers)]
        with self.log.open("ab") as log:
            # A session of its own, so that all of it can be killed at once.
            self.process = subprocess.Popen(
                [*command, *options],
                cwd=ROOT,
                env=self.environment,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )

    def _is_ready(self) -> bool:
        try:
            with urlopen(f"http://127.0.0.1:{self.port}/readyz", timeout=5) as answer:
                return bool(answer.status == 200)
        except (URLError, OSError):
            return False

    def worker_pids(self) -> list[int]:
        """The processes that there are just now: those that answer, and the one that works tasks off."""
        return children(self.process.pid)

    def working_pids(self) -> list[int]:
        """The processes that work tasks off."""
        return [pid for pid in self.worker_pids() if name_of(pid) == worker.NAME.decode()]

    def task_pids(self) -> list[int]:
        """The processes that are at a task just now: renderers, deliverers."""
        return [child for pid in self.working_pids() for child in children(pid)]

    def kill_one(self, pids: list[int], chance: random.Random) -> bool:
        """Kill one of these, if there are any; the server puts another one in its place."""
        if not pids:
            return False
        _kill(chance.choice(pids))
        return True

    def kill_arbiter(self) -> None:
        """Kill the process that the workers come from, and leave the workers to themselves."""
        _kill(self.process.pid)
        self.process.wait()

    def kill(self) -> None:
        """Kill everything at once, as when the machine goes down."""
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def children(pid: int) -> list[int]:
    """The processes that a process started and that are still there."""
    try:
        return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except (FileNotFoundError, ProcessLookupError):
        return []


def name_of(pid: int) -> str:
    """What a process calls itself; nothing where it is gone."""
    try:
        return Path(f"/proc/{pid}/comm").read_text(encoding="utf-8").strip()
    except (FileNotFoundError, ProcessLookupError):
        return ""


def _kill(pid: int) -> None:
    with suppress(ProcessLookupError):
        os.kill(pid, signal.SIGKILL)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
