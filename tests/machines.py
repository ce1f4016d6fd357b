"""Machines on a network of their own, as far as one machine can show it: by Linux' namespaces.

Each has an address, its own processes, /tmp, home, caches and folder to work in. They reach the machine of
the tests, where the database is, and not one another. What they run is mounted to be read only.
"""

import ctypes
import os
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from tests.faults.server import children

HERE = "198.18.0.1"
"""The machine of the tests; of the addresses for measuring networks, which lead nowhere (RFC 2544)."""
NETWORK = 0x40000000
"""Linux, sched.h: CLONE_NEWNET."""
ROOT = Path(__file__).parents[1]
INSTALLED = Path("/mnt")
STARTS_WITHIN_S = 30
BRIDGE = ("link add machines type bridge", "link set machines up", f"address add {HERE}/24 dev machines")
START = """
mount --bind "$1" "$2" && mount -o remount,bind,ro "$2"
for own in /tmp /var/tmp /var/cache; do mount -t tmpfs tmpfs "$own"; done
mkdir /tmp/home /tmp/work
until ip link show eth0 >/dev/null 2>&1; do sleep 0.05; done
ip link set lo up && ip address add "$3"/24 dev eth0 && ip link set eth0 up
cd /tmp/work
shift 3
exec "$@"
"""


@contextmanager
def own_network() -> Iterator[None]:
    """Whatever this thread starts within the block has a network in which nothing is but machines.

    Raises PermissionError where that is not allowed.
    """
    libc = ctypes.CDLL(None, use_errno=True)
    with Path("/proc/thread-self/ns/net").open("rb") as outside:
        if libc.unshare(NETWORK):
            raise PermissionError(ctypes.get_errno(), "a network of one's own needs root")
        try:
            for words in ("link set lo up", *BRIDGE):
                _ip(words)
            yield
        finally:
            libc.setns(outside.fileno(), NETWORK)


def _ip(words: str) -> None:
    subprocess.run(["ip", *words.split()], check=True)


class Machine:
    """One that runs a command of the service; when the command ends, or is stopped, nothing is left of it."""

    def __init__(self, folder: Path, number: int, environment: Mapping[str, str], *command: str) -> None:
        self.address, self.log = f"198.18.0.{number + 1}", folder / f"machine-{number}.log"
        self.number, self.environment, self.command = number, environment, command

    def start(self) -> None:
        """Start it, and connect it."""
        apart = [
            "unshare",
            "--net",
            "--mount",
            "--pid",
            "--ipc",
            "--uts",
            "--fork",
            "--kill-child",
            "--mount-proc",
        ]
        script = ["sh", "-euc", START, "machine", str(ROOT), str(INSTALLED), self.address]
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [*apart, *script, _python(), "-m", "service.cli", *self.command],
                env={
                    "PATH": os.environ["PATH"],
                    "HOME": "/tmp/home",
                    "PYTHONPATH": str(INSTALLED),
                    **self.environment,
                },
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
            )
        self._connect()

    def _connect(self) -> None:
        ours, until = os.readlink("/proc/thread-self/ns/net"), time.monotonic() + STARTS_WITHIN_S
        while os.readlink(f"/proc/{self.process.pid}/ns/net") == ours:
            if time.monotonic() > until or self.process.poll() is not None:
                raise RuntimeError(f"The machine did not start: {self.log.read_text()}")
            time.sleep(0.02)
        cable = f"cable{self.number}"
        _ip(f"link add {cable} type veth peer name eth0 netns {self.process.pid}")
        _ip(f"link set {cable} master machines up")
        # It reaches the bridge, and nobody beside it.
        subprocess.run(["bridge", "link", "set", "dev", cable, "isolated", "on"], check=True)

    def stop(self) -> None:
        """As when the power fails."""
        self.process.kill()
        self.process.wait()

    def at_work(self) -> list[int]:
        """The processes that its command has started: of a worker, those that are at a task."""
        return [pid for command in children(self.process.pid) for pid in children(command)]


def _python() -> str:
    """The interpreter, by a path that leads there from a machine too."""
    program = Path(sys.executable)
    return str(INSTALLED / program.relative_to(ROOT) if program.is_relative_to(ROOT) else program)
