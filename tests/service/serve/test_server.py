"""The server and its temporary files: what a killed one leaves, the next one removes, and nothing else."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import urlopen

import pytest

from service.serve.server import FIGURES
from tests.faults.server import Server


@pytest.fixture(scope="module")
def url(sqlite_url: str) -> str:
    """A database: one kind of it is enough for what is asked here."""
    return sqlite_url


@contextmanager
def running(url: str, folder: Path) -> Iterator[Server]:
    """A server with two workers whose temporary files are in this folder."""
    server = Server(url, folder, workers=2)
    server.start()
    try:
        yield server
    finally:
        server.kill()


def folders(folder: Path) -> set[str]:
    return {path.name for path in folder.glob(f"{FIGURES}*")}


def figures(server: Server) -> str:
    return urlopen(f"http://127.0.0.1:{server.port}/metrics", timeout=30).read().decode()


def test_what_a_killed_server_leaves_the_next_one_removes(url: str, tmp_path: Path) -> None:
    with running(url, tmp_path):
        left = folders(tmp_path)
        assert len(left) == 1
    assert folders(tmp_path) == left
    with running(url, tmp_path):
        assert len(folders(tmp_path)) == 1
        assert folders(tmp_path) != left


def test_what_a_living_server_uses_is_left_alone(url: str, tmp_path: Path) -> None:
    with running(url, tmp_path) as server:
        its = folders(tmp_path)
        with running(url, tmp_path):
            assert folders(tmp_path) > its
        assert "baywright_requests_total" in figures(server)
        assert its < folders(tmp_path)


def test_what_is_not_a_server_s_own_is_left_alone(url: str, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "kept").touch()
    (tmp_path / f"{FIGURES}link").symlink_to(elsewhere)
    (tmp_path / f"{FIGURES}file").touch()
    with running(url, tmp_path):
        assert (elsewhere / "kept").exists()
        assert folders(tmp_path) > {f"{FIGURES}link", f"{FIGURES}file"}


def test_a_server_that_is_stopped_leaves_nothing(url: str, tmp_path: Path) -> None:
    with running(url, tmp_path) as server:
        server.process.terminate()
        assert server.process.wait(timeout=60) == 0
        assert folders(tmp_path) == set()
