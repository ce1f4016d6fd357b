"""The whole path, played through HTTP: quote, offer, acceptance, a day on site, certificate.

A server is started on a database of its own; everything else is done as a
client would do it, and each step is told on the terminal.
"""

import json
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.request import Request, urlopen
from uuid import uuid4

import click

from service.api.firm_files import read_firm
from service.demo.day import Day
from service.demo.fixtures import BUILDING, FIRM
from service.demo.picture import label_picture
from service.errors import BaywrightError
from service.store import migrate
from service.store.session import open_database
from service.usecases.firm import firms, keys

HOST = "127.0.0.1"
# Who signs does so by a key in his own name.
LABELS = {"crew": "Demo signatory"}
STARTS_WITHIN_S = 30
# How often a document is asked for before it is said not to come.
DOCUMENT_WITHIN = 60
DAY = timedelta(hours=2)
ACCEPTED = {"accepted_by": "The client of the demo", "how": "said on the telephone"}


class DemoFailed(BaywrightError):
    """A step of the demo did not answer as it should."""


def play(*, out: Path, port: int, stay: bool) -> None:
    """Play the demo; the documents are written to `out`, and the server runs on when `stay`."""
    _must_be_free(port)
    out.mkdir(parents=True, exist_ok=True)
    # Whatever ends the demo must also end its server and take its folder away.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    with tempfile.TemporaryDirectory(prefix="baywright-") as folder:
        url = f"sqlite:///{folder}/demo.sqlite3"
        secrets = _prepare(url)
        with _server(url, port) as base:
            walk(base, secrets, out)
            if stay:
                _tell_how_to_go_on(base, secrets)
                _wait()


def _must_be_free(port: int) -> None:
    """Else another server would answer in the place of the demo's own."""
    # An address may answer although it can be bound: for another machine, say, by a rule of the network.
    with suppress(OSError), socket.create_connection((HOST, port), timeout=1):
        raise DemoFailed(f"Port {port} is in use by another program. Try --port.")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError:
            raise DemoFailed(f"Port {port} is in use by another program. Try --port.") from None


def _prepare(url: str) -> Mapping[str, str]:
    migrate.upgrade(url)
    database, now = open_database(url), datetime.now(UTC)
    firm = read_firm(FIRM)
    firms.load(database, firm, now)
    roles = {"sales": ["sales"], "crew": ["installer", "signatory"], "office": ["office"]}
    return {
        who: keys.add(database, firm_code=firm["code"], roles=held, label=LABELS.get(who, who), now=now)
        for who, held in roles.items()
    }


@contextmanager
def _server(url: str, port: int) -> Iterator[str]:
    base = f"http://{HOST}:{port}"
    settings = {"BAYWRIGHT_DATABASE_URL": url, "BAYWRIGHT_PUBLIC_URL": base, "BAYWRIGHT_LOG_LEVEL": "ERROR"}
    command = [sys.executable, "-m", "service.cli", "serve", "--port", str(port)]
    process = subprocess.Popen(command, env={**os.environ, **settings})  # noqa: S603 - our own command
    try:
        _await(base, process)
        yield base
    finally:
        process.terminate()
        process.wait()


def _await(base: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(STARTS_WITHIN_S * 10):
        if process.poll() is not None:
            raise DemoFailed("The server did not start: what it said is above.")
        try:
            with urlopen(f"{base}/readyz"):  # noqa: S310 - our own address
                return
        except (URLError, ConnectionError):
            time.sleep(0.1)
    raise DemoFailed("The server did not answer in time.")


class _Client:
    def __init__(self, base: str, key: str) -> None:
        self.base, self.key = base, key

    def send(self, method: str, path: str, body: Any = None, told: str = "", seen: str = "") -> Any:
        """Send a request and tell of it; raises DemoFailed, with the problem, when it is refused.

        `seen` is the tag of what it goes by.
        """
        headers = {"Authorization": f"Bearer {self.key}", "Idempotency-Key": str(uuid4())}
        content = None
        if seen:
            headers["If-Match"] = f'"{seen}"'
        if isinstance(body, bytes):
            headers["Content-Type"], content = "image/jpeg", body
        elif body is not None:
            headers["Content-Type"] = "application/json"
            content = json.dumps(body).encode()
        request = Request(f"{self.base}{path}", content, headers, method=method)  # noqa: S310
        answer, status, kind = self._answered(request)
        click.echo(f"  {method:<4} {_short(path):<34} {status}  {told}".rstrip())
        return json.loads(answer) if kind == "application/json" else answer

    def _answered(self, request: Request) -> tuple[bytes, int, str]:
        """The answer; what is not there yet is asked for again when the server says so."""
        for _ in range(DOCUMENT_WITHIN):
            try:
                with urlopen(request) as response:  # noqa: S310 - our own address
                    answer, head = response.read(), response.headers
            except HTTPError as error:
                said = error.read().decode()
                raise DemoFailed(f"{request.method} {request.selector}: {said}") from None
            if response.status != HTTPStatus.ACCEPTED:
                return answer, response.status, head["Content-Type"]
            time.sleep(int(head["Retry-After"]))
        raise DemoFailed(f"{request.selector} is not there: {answer.decode()}")


def walk(base: str, secrets: Mapping[str, str], out: Path) -> None:
    """Walk the whole path at `base` with a key for `sales` and one for `crew`; documents go to `out`."""
    sales, crew = _Client(base, secrets["sales"]), _Client(base, secrets["crew"])
    building = json.loads(BUILDING.read_text(encoding="utf-8"))
    job_id = _sell(sales, building, out)
    job = crew.send("GET", f"/v1/jobs/{job_id}/working")
    _write(out / "crew-sheet.pdf", crew.send("GET", f"/v1/jobs/{job_id}/document"))
    _work(crew, job)
    _certify(crew, job_id, base, out)


def _sell(sales: _Client, building: Any, out: Path) -> str:
    click.secho(f"A building of {len(building['cavities'])} cavities is posted", bold=True)
    quote = sales.send("POST", "/v1/quotes", building)
    takeoff = quote["takeoff"]
    click.echo(f"       {takeoff['mass_kg']:.0f} kg in {takeoff['bags']} bags, {takeoff['holes']} holes,")
    click.echo(
        f"       {takeoff['crew_hours']:.1f} crew hours, {quote['total']} {quote['currency']} with tax"
    )
    click.secho("The quote is offered and accepted", bold=True)
    path = f"/v1/quotes/{quote['id']}"
    offer = sales.send("POST", f"{path}/offer")
    click.echo(f"       {offer['number']}, valid until {offer['valid_until']}")
    _write(out / "quote.pdf", sales.send("GET", f"{path}/document"))
    job_id: str = sales.send("POST", f"{path}/acceptance", ACCEPTED)["job_id"]
    return job_id


def _work(crew: _Client, job: Mapping[str, Any]) -> None:
    click.secho("The crew fills, samples and patches", bold=True)
    entries = f"/v1/jobs/{job['id']}/entries"
    now = datetime.now(UTC).replace(microsecond=0)
    day = Day(job, max(now - DAY, now.replace(hour=0, minute=0, second=0)), mishaps=True)
    batches = {"before": day.before()}
    for surveyed, planned in zip(job["cavities"], job["takeoff"]["cavities"], strict=True):
        batches[planned["label"]] = day.cavity(surveyed, planned)
    batches["after"] = day.after()
    for what, batch in batches.items():
        crew.send("POST", entries, {"entries": batch}, told=f"{what}: {_counted(batch)}")
    for photo_id in day.photos:
        crew.send(
            "PUT", f"/v1/jobs/{job['id']}/photos/{photo_id}", label_picture(), told="photo of the label"
        )
    click.echo(f"       {sum(map(len, batches.values()))} entries, {day.blown_kg:.0f} kg blown")


def _certify(crew: _Client, job_id: str, base: str, out: Path) -> None:
    click.secho("The work is assessed and certified", bold=True)
    found = crew.send("GET", f"/v1/jobs/{job_id}/assessment")
    for condition in found["unmet"]:
        said = _sentence(condition["detail"])
        click.echo(f"       {condition['code']} {condition['cavity'] or ''}: {said}")
    preview = crew.send("GET", f"/v1/jobs/{job_id}/certificates/preview")
    issued = crew.send(
        "POST", f"/v1/jobs/{job_id}/certificates", {"signed_by": preview["signed_by"]}, seen=preview["tag"]
    )
    path = f"/v1/certificates/{issued['id']}"
    _write(out / "certificate.pdf", crew.send("GET", f"{path}/document"))
    click.echo(f"       {issued['number']}, file SHA-256 {crew.send('GET', path)['file_sha256']}")
    click.echo(f"       anybody may check it at {base}/verify/{issued['number']}")


def _sentence(said: Any) -> str:
    """A sentence of the service, which carries its code and values beside its words."""
    return said if isinstance(said, str) else str(said["text"])


def _short(path: str) -> str:
    """A path without the 30 letters of an identifier that nobody reads."""
    return re.sub(r"[0-9a-f]{8}-[0-9a-f-]{23}([0-9a-f]{4})", r"…\1", path)


def _counted(batch: list[Any]) -> str:
    kinds = Counter(entry["kind"].replace("_", " ") for entry in batch)
    return ", ".join(
        f"{number} {kind}{'' if number == 1 or kind.endswith('s') else 's'}" for kind, number in kinds.items()
    )


def _write(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    click.echo(f"       written to {path}")


def _tell_how_to_go_on(base: str, secrets: Mapping[str, str]) -> None:
    click.secho(
        f"\nThe server goes on at {base} (documentation at {base}/docs). Keys of this demo:", bold=True
    )
    for who, key in secrets.items():
        click.echo(f"  {who:<7} {key}")
    click.echo("End it with Ctrl-C; its database goes with it.")


def _wait() -> None:
    try:
        while True:
            time.sleep(3600)
    except KeyboardInterrupt:
        click.echo()
