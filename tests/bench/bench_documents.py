"""Certificates as PDF: against two other printers of the same page, and as the building grows.

Run by hand: `pytest -m bench tests/bench/bench_documents.py`. The other printers are LibreOffice and
Chromium, headless, of the distribution; without one its comparison is skipped. They take turns with
ours, so that other work on the machine slows all alike. Read ratios, not seconds.
"""

import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from os import times
from pathlib import Path
from time import perf_counter

import pytest

from service.documents.papers import certificate
from service.documents.pdf.render import ASSETS
from tests import builders
from tests.service.documents import facts

CHROMIUM = (
    *("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
    "--no-pdf-header-footer",
)
LIBREOFFICE = ("soffice", "--headless", "--convert-to", "pdf:writer_web_pdf_Export")
BAYS_A_PART = 20


def seconds(*acts: Callable[[], object], rounds: int = 3) -> list[float]:
    """The quickest of some rounds of each, taking turns."""
    spent: list[list[float]] = [[] for _ in acts]
    for _ in range(rounds):
        for act, taken in zip(acts, spent, strict=True):
            began = perf_counter()
            act()
            taken.append(perf_counter() - began)
    return [min(taken) for taken in spent]


def cpu_seconds(act: Callable[[], object]) -> float:
    """Processor time of one run, here and in the programs that it started and waited for."""
    before = times()
    act()
    return sum(after - then for after, then in zip(times()[:4], before[:4], strict=True))


def record(parts: int) -> facts.Facts:
    """A certificate's record for so many parts, each with a spill, samples, holes and patches."""
    kinds = facts.cavities()[:5]
    return facts.certificate(
        tuple(replace(kinds[i % len(kinds)], label=f"P{i + 1}", count=1) for i in range(parts)), off=None
    )


def of_bays(bays: int) -> facts.Facts:
    """A record with so many separate bays, each with its fill, its hole and its patch."""
    wall = builders.stud_wall(width_m=0.05 + 0.625 * BAYS_A_PART)
    return facts.certificate(
        tuple(replace(wall, label=f"W{i + 1}") for i in range(bays // BAYS_A_PART)), off=None
    )


def standing_alone(html: str, folder: Path) -> Path:
    """The page as a file that a browser can print: its style sheet in it, fonts by their paths."""
    sheets = ("faces.css", "page.css")
    style = "".join((ASSETS / name).read_text(encoding="utf-8") for name in sheets)
    style = style.replace("asset:", f"{ASSETS}/")
    page = folder / "certificate.html"
    page.write_text(html.replace("<style>", f"<style>{style}", 1), encoding="utf-8")
    return page


def printed_by(command: tuple[str, ...], folder: Path, page: Path) -> Callable[[], None]:
    """Prints the page with another program; whatever it leaves out, it must leave a PDF."""
    if shutil.which(command[0]) is None:
        pytest.skip(f"There is no {command[0]}.")
    made = folder / "certificate.pdf"
    if command is LIBREOFFICE:
        profile = f"-env:UserInstallation=file://{folder}/profile"
        whole = (*command, profile, "--outdir", str(folder), str(page))
    else:
        whole = (*command, f"--user-data-dir={folder}/profile", f"--print-to-pdf={made}", page.as_uri())

    def act() -> None:
        made.unlink(missing_ok=True)
        subprocess.run(whole, check=True, capture_output=True, timeout=300)
        assert made.read_bytes().startswith(b"%PDF")

    return act


def ours(stored: facts.Facts) -> Callable[[], bytes]:
    """The certificate with all that it claims: tags, PDF/A-3a, PDF/UA-1, its record attached."""
    canonical = facts.canonical(stored)
    return lambda: certificate.pdf(stored, canonical)


@pytest.mark.bench
@pytest.mark.parametrize("command", [LIBREOFFICE, CHROMIUM], ids=["LibreOffice", "Chromium"])
@pytest.mark.parametrize(
    "make", [lambda: record(17), lambda: of_bays(2000)], ids=["17 parts", "2000 bays in 100 parts"]
)
def test_against_another_printer(
    command: tuple[str, ...],
    make: Callable[[], facts.Facts],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    stored = make()
    other = printed_by(command, tmp_path, standing_alone(certificate.html(stored), tmp_path))
    other()
    print_ours = ours(stored)
    print_ours()
    here, there = seconds(print_ours, other)
    ours_cpu, other_cpu = cpu_seconds(print_ours), cpu_seconds(other)
    with capsys.disabled():
        print(f"\n{command[0]}: {there:.2f} s; ours, warm: {here:.2f} s; ratio {here / there:.2f}", end="")
        print(f"; processor: {other_cpu:.2f} s; ours {ours_cpu:.2f} s", end="")
    assert here <= there


@pytest.mark.bench
def test_time_grows_with_the_bays(capsys: pytest.CaptureFixture[str]) -> None:
    each_ms = {}
    for bays in (60, 300, 2000):
        act = ours(of_bays(bays))
        act()
        (quickest,) = seconds(act, rounds=2)
        each_ms[bays] = quickest * 1000 / bays
        with capsys.disabled():
            print(f"\n{bays} bays: {each_ms[bays]:.2f} ms each", end="")
    assert each_ms[2000] <= 1.2 * each_ms[60]


KEEP = (
    "import sys; from pathlib import Path; sys.path.insert(0, '.')\n"
    "from tests.bench import bench_documents as bench; from tests.service.documents import facts\n"
    "Path(sys.argv[2]).write_bytes(facts.canonical(getattr(bench, sys.argv[1])(int(sys.argv[3]))))"
)
# ru_maxrss would begin with the parent's.
PRINT = (
    "import json, re, sys; from pathlib import Path; from time import process_time\n"
    "from service.documents.papers import certificate\n"
    "status = Path('/proc/self/status')\n"
    "most = lambda: int(re.search(r'VmHWM:\\s+(\\d+)', status.read_text())[1]) // 1024\n"
    "kept = Path(sys.argv[1]).read_bytes()\n"
    "written = certificate.written(json.loads(kept), kept); before = most()\n"
    "began = process_time(); certificate.printed(written)\n"
    "print(before, most(), round(process_time() - began, 1))"
)


def run(script: str, *arguments: str) -> str:
    command = [sys.executable, "-c", script, *arguments]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


@pytest.mark.bench
@pytest.mark.parametrize(("what", "count"), [("of_bays", 2000), ("record", 300)])
def test_memory(what: str, count: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Printed in a process of its own, as a worker does it: at most 250 MB."""
    kept = tmp_path / "record.json"
    run(KEEP, what, str(kept), str(count))
    before, most, spent = run(PRINT, str(kept)).split()
    with capsys.disabled():
        print(f"\n{what}({count}): {spent} s, {before} MiB before, {most} MiB at most", end="")
    assert int(most) * 1024**2 <= 250_000_000
