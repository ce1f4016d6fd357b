"""What a certificate costs the processor, beside Chromium printing the same HTML: user and system time.

Run by hand: `pytest -m bench tests/bench/bench_printers.py`. Both are measured from nothing, a new
program that ends with a PDF in a file, and running: ours in a process that a worker forks for it,
which ends with it, Chromium with its tree of processes, to which a page is given. All take turns. Ours
is PDF/A-3a and PDF/UA-1 with its record attached, Chromium's is a tagged PDF. Read ratios, not seconds.
"""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing import Pipe, Process
from multiprocessing.connection import Connection
from pathlib import Path
from statistics import median

import pytest
from playwright.sync_api import Browser

from service.documents.papers import certificate
from service.documents.pdf.apart import made_apart
from service.documents.pdf.render import prepare
from tests.bench.bench_documents import CHROMIUM, cpu_seconds, printed_by, record, run, standing_alone
from tests.browser import chromium
from tests.service.documents import facts

ROUNDS = 10
TICK_S = 1 / os.sysconf("SC_CLK_TCK")
FROM_NOTHING = (
    "import json, sys; from pathlib import Path; from service.documents.papers import certificate\n"
    "kept = Path(sys.argv[1]).read_bytes()\n"
    "Path(sys.argv[2]).write_bytes(certificate.pdf(json.loads(kept), kept))"
)


def spent_by(root: int) -> float:
    """Seconds of a process, of what it started and of what these started, ended ones too (proc(5))."""
    parents, seconds = {}, {}
    for each in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = each.read_text(encoding="utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        pid = int(each.parent.name)
        parents[pid], seconds[pid] = int(fields[1]), sum(map(int, fields[11:15])) * TICK_S
    tree = {root}
    while more := {pid for pid, parent in parents.items() if parent in tree} - tree:
        tree |= more
    return sum(seconds.get(pid, 0.0) for pid in tree)


def _worker(requests: Connection, written: certificate.Written) -> None:
    """Prepared as a worker is, it forks for each request, and says what that cost it and the child."""
    prepare()
    while requests.recv():
        requests.send(
            cpu_seconds(lambda: made_apart(lambda: certificate.printed(written), limit_s=60, limit_mib=2000))
        )


@contextmanager
def working(written: certificate.Written) -> Iterator[Callable[[], float]]:
    here, there = Pipe()
    process = Process(target=_worker, args=(there, written))
    process.start()

    def ask() -> float:
        here.send(True)
        return float(here.recv())

    yield ask
    here.send(False)
    process.join()


def running(browser: Browser, page: Path, made: Path) -> Callable[[], float]:
    """A browser that is there already prints the page."""
    processes = browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")["processInfo"]
    root = next(each["id"] for each in processes if each["type"] == "browser")
    tab = browser.new_page()

    def act() -> float:
        before = spent_by(root)
        tab.goto(page.as_uri())
        tab.pdf(path=made, prefer_css_page_size=True, print_background=True, tagged=True)
        return spent_by(root) - before

    return act


@pytest.mark.bench
def test_processor_time_beside_a_browser(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stored = record(17)
    canonical = facts.canonical(stored)
    kept, made = tmp_path / "record.json", tmp_path / "printed.pdf"
    kept.write_bytes(canonical)
    written = certificate.written(stored, canonical)
    page = standing_alone(written.html, tmp_path)
    from_nothing = printed_by(CHROMIUM, tmp_path, page)
    with working(written) as ours, chromium() as browser:
        ways: dict[str, Callable[[], float]] = {
            "Chromium, from nothing": lambda: cpu_seconds(from_nothing),
            "ours, from nothing": lambda: cpu_seconds(lambda: run(FROM_NOTHING, str(kept), str(made))),
            "Chromium, running": running(browser, page, made),
            "ours, as a worker has it made": ours,
        }
        rounds = [{name: way() for name, way in ways.items()} for _ in range(ROUNDS + 1)][1:]
    spent = {name: [each[name] for each in rounds] for name in ways}
    with capsys.disabled():
        print(f"\nPython {sys.version.split()[0]}, {ROUNDS} rounds", end="")
        for name, seconds in spent.items():
            print(f"\n{name}: at least {min(seconds):.2f} s, median {median(seconds):.2f} s", end="")
    # By Debian's Python 0.9 to 1.0 of a browser that is started for it, by one that was built without
    # profiles 1.1; 1.4 to 1.8 of a browser that runs: there Chromium is cheaper.
    assert median(spent["ours, as a worker has it made"]) <= 1.2 * median(spent["Chromium, from nothing"])
