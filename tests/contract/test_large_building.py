"""The largest building that is let in is carried through to its certificate, and no process takes too much.

Through a real server and its worker, by what the kernel says of each process. The figures of
docker/SCALING.md are what it prints.
"""

import json
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from service.api.firm_files import read_firm
from service.documents.pdf import signing
from service.settings import Settings
from service.store import migrate
from service.store.session import open_database
from service.usecases.firm import firms, keys
from tests.api import DEMO, SIGNATORY
from tests.faults.server import ROOT, Server
from tests.large.building import terrace
from tests.large.carried import Carried, Took
from tests.large.watched import Watched
from tests.poppler import poppler
from tests.verapdf import Judged

PASSWORD = "for the tests only"
ROLES = ("sales", "installer", "signatory", "office")
MOST_MB = 700
SMALL = 50
STEEPEST = 1.2
UNCHECKED = 3
"""How `verify` ends where nothing is wrong, and nobody was named who vouches for the key."""


def prepared(url: str, secret: Path) -> str:
    """A database with the demo firm and its key for signing; returns a key that may do everything."""
    now = datetime.now(UTC)
    migrate.upgrade(url)
    database = open_database(url)
    firms.load(database, read_firm(DEMO), now)
    key = keys.add(database, firm_code="demo", roles=[*ROLES], label=SIGNATORY, now=now)
    database.dispose()
    valid = now - timedelta(days=1)
    secret.mkdir(exist_ok=True)
    (secret / "demo.p12").write_bytes(signing.trial_key("Specimen firm", password=PASSWORD, now=valid))
    return key


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("large")


@pytest.fixture(scope="module")
def carrying(folder: Path) -> Iterator[Carried]:
    """Whoever carries buildings through a server of one process, and its worker."""
    url = f"sqlite:///{folder}/large.sqlite3"
    key = prepared(url, folder / "keys")
    more = {"BAYWRIGHT_SIGNING_FOLDER": str(folder / "keys"), "BAYWRIGHT_SIGNING_PASSWORD": PASSWORD}
    server = Server(url, folder, workers=1, **more)
    server.start()
    watched = Watched(server.process.pid)
    try:
        with watched.looking():
            yield Carried(base=f"http://127.0.0.1:{server.port}", key=key, watched=watched)
    finally:
        server.kill()


def commanded(url: str, *words: str | Path, code: int = 0) -> float:
    """A command's most memory in MiB; it must end with `code`."""
    command = [sys.executable, "-m", "service.cli", *map(str, words)]
    environment = {"BAYWRIGHT_DATABASE_URL": url, "BAYWRIGHT_SECRET_KEY": "a secret for the tests only"}
    with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE) as process:
        watched = Watched(process.pid)
        with watched.looking():
            said, _ = process.communicate()
        assert process.returncode == code, said.decode()
    return watched.most_mib()


@pytest.mark.slow
def test_what_is_let_in_is_carried_through(
    carrying: Carried, folder: Path, judged: Judged, capsys: pytest.CaptureFixture[str]
) -> None:
    most = Settings().cavity_limit
    carrying.carry(terrace(SMALL))
    small = [*carrying.steps]
    carrying.steps.clear()
    made = carrying.carry(terrace(most))
    certificate = folder / "certificate.pdf"
    certificate.write_bytes(made["certificate"])
    commands = by_commands(folder, made["number"], certificate)
    with capsys.disabled():
        told(small, SMALL)
        told(carrying.steps, most)
        print("\n".join(f"{what:>16}: {mib:5.0f} MiB" for what, mib in commands.items()))
    assert {each.what: round(each.most_mib) for each in carrying.steps if too_much(each.most_mib)} == {}
    assert {what: round(mib) for what, mib in commands.items() if too_much(mib)} == {}
    is_whole(made, certificate, most, judged)
    assert steepness(small, carrying.steps, most) <= STEEPEST


def too_much(mib: float) -> bool:
    return mib * 2**20 > MOST_MB * 10**6


def told(steps: list[Took], parts: int) -> None:
    print(f"\n{parts} cavities:")
    for each in steps:
        of_each = each.processor_s * 1000 / parts
        print(f"{each.what:>16}: {each.processor_s:7.2f} s, {of_each:6.2f} ms each, {each.most_mib:5.0f} MiB")


def steepness(small: list[Took], large: list[Took], most: int) -> float:
    """How much longer a cavity takes in the large building, all steps together."""
    each, other = (sum(step.processor_s for step in steps) for steps in (large, small))
    return (each / most) / (other / SMALL)


def by_commands(folder: Path, number: str, certificate: Path) -> dict[str, float]:
    """The certificate verified, the database checked, the job taken to another database; what each took."""
    url, other = f"sqlite:///{folder}/large.sqlite3", f"sqlite:///{folder}/other.sqlite3"
    archive = folder / "archive.zip"
    migrate.upgrade(other)
    return {
        "verify": commanded(url, "verify", certificate, code=UNCHECKED),
        "check": commanded(url, "check"),
        "export": commanded(url, "export", number, archive, "--firm", "demo"),
        "import": commanded(other, "import", archive),
        "check again": commanded(other, "check"),
    }


def is_whole(made: dict[str, Any], certificate: Path, most: int, judged: Judged) -> None:
    """Every part is on every paper, and the certificate is what it claims to be."""
    assert len(json.loads(made["working"])["takeoff"]["cavities"]) == most
    assert len(json.loads(made["record"])["parts"]) == most
    assert [verdict.broken for verdict in judged(certificate)] == [[], []]
    assert "Signature Validation: Signature is Valid." in poppler("pdfsig", "-nocert", certificate)
    with pikepdf.open(certificate) as pdf:
        assert pdf.attachments["record.json"].get_file().read_bytes() == made["record"]
    last = terrace(most)["cavities"][-1]["label"]
    for name in ("quote", "sheet", "certificate"):
        paper = certificate.with_name(f"{name}.pdf")
        paper.write_bytes(made[name])
        assert last in poppler("pdftotext", paper, "-")
