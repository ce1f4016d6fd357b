"""Running takes its words to the server and to the demo as they were said."""

import gc
from pathlib import Path
from typing import Any

import pytest

from service.cli.running import RARELY, no_collector
from service.demo import demo
from service.serve import server, worker
from tests.commands import baywright


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What the server and the demo are told, in the place of running them."""
    heard: list[dict[str, Any]] = []
    monkeypatch.setattr(server, "serve", lambda settings, **words: heard.append({"of": settings, **words}))
    monkeypatch.setattr(worker, "work", lambda settings: heard.append({"of": settings}))
    monkeypatch.setattr(demo, "play", lambda **words: heard.append(words))
    return heard


def test_the_server_listens_to_its_own_machine_unless_told(tmp_path: Path, told: list[Any]) -> None:
    baywright(tmp_path, "serve", body_limit_bytes="12345")
    baywright(tmp_path, "serve", "--host", "0.0.0.0", "--port", "8123", "--workers", "3", "--no-work")
    first, second = told
    assert (first["works"], second["works"]) == (True, False)
    assert (first["host"], first["port"], first["workers"]) == ("127.0.0.1", 8000, 2)
    assert first["of"].body_limit_bytes == 12345
    assert (second["host"], second["port"], second["workers"]) == ("0.0.0.0", 8123, 3)


@pytest.mark.parametrize(
    ("words", "heard"),
    [
        ((), {"out": Path("out"), "port": 8000, "stay": False}),
        (("--serve", "--port", "8123", "--out", "x"), {"out": Path("x"), "port": 8123, "stay": True}),
    ],
)
def test_the_demo_ends_unless_it_is_to_stay(
    tmp_path: Path, told: list[Any], words: tuple[str, ...], heard: dict[str, Any]
) -> None:
    baywright(tmp_path, "demo", *words)
    assert told == [heard]


def test_a_port_is_a_number_and_an_output_no_file(tmp_path: Path, told: list[Any]) -> None:
    for port in ("http", "-1", "65536"):
        assert "--port" in baywright(tmp_path, "serve", "--port", port, code=2)
        assert "--port" in baywright(tmp_path, "demo", "--port", port, code=2)
    assert "--workers" in baywright(tmp_path, "serve", "--workers", "0", code=2)
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert "--out" in baywright(tmp_path, "demo", "--out", str(tmp_path / "file"), code=2)
    assert told == []


def test_a_worker_goes_by_the_settings_and_nothing_else(tmp_path: Path, told: list[Any]) -> None:
    baywright(tmp_path, "work", task_limit_s="12")
    assert told[0]["of"].task_limit_s == 12
    assert "--port" in baywright(tmp_path, "work", "--port", "8123", code=2)


def test_what_is_imported_to_run_is_no_garbage_to_look_for() -> None:
    before = gc.get_freeze_count()
    gc.set_threshold(700, 10, 10)  # as it comes
    with no_collector():
        assert not gc.isenabled()
        kept = [[number] for number in range(1000)]
    assert gc.isenabled()
    assert gc.get_threshold() == RARELY
    assert gc.get_freeze_count() >= before + len(kept)


def test_a_worker_says_why_its_database_does_not_answer(tmp_path: Path) -> None:
    away = {"database_url": "postgresql+psycopg://nobody@127.0.0.1:1/none", "secret_key": "0123456789abcdef"}
    assert "port 1 failed" in baywright(tmp_path, "work", code=1, **away)
