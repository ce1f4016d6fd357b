"""A building carried from its survey to its signed certificate through a real server and its worker."""

import json
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any, TypeVar
from urllib.error import HTTPError
from urllib.request import Request, urlopen
from uuid import uuid4

from service.demo.day import Day
from tests.api import ACCEPTED, SIGNATORY
from tests.large.watched import Watched

T = TypeVar("T")
A_DOCUMENT_TAKES_S = 900
A_BATCH = 500
A_WORD_EVERY_S = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Took:
    """A step: its processor time in all processes, and the most memory that one of them had."""

    what: str
    processor_s: float
    most_mib: float


@dataclass(slots=True, kw_only=True)
class Carried:
    """The way of one building; `steps` says what each part of it took."""

    base: str
    key: str
    watched: Watched
    steps: list[Took] = field(default_factory=list)

    def carry(self, body: Mapping[str, Any]) -> dict[str, Any]:
        """From the survey to the certificate; returns what was answered and the documents on the way."""
        made: dict[str, Any] = {}
        quote = self.step("quote", lambda: self.sent("POST", "/v1/quotes", body))
        path = f"/v1/quotes/{quote['id']}"
        made["working"] = self.step("working", lambda: self.raw("GET", f"{path}/working"))
        self.step("offer", lambda: self.sent("POST", f"{path}/offer"))
        made["quote"] = self.step("quotation", lambda: self.document(f"{path}/document"))
        job_id = self.step("acceptance", lambda: self.sent("POST", f"{path}/acceptance", ACCEPTED))["job_id"]
        job = f"/v1/jobs/{job_id}"
        made["sheet"] = self.step("crew's sheet", lambda: self.document(f"{job}/document"))
        worked = json.loads(self.step("job's working", lambda: self.raw("GET", f"{job}/working")))
        self.step("entries", lambda: self.told(job, worked))
        made["assessment"] = self.step("assessment", lambda: self.sent("GET", f"{job}/assessment"))
        certificate = self.issued(job)
        path = f"/v1/certificates/{certificate['id']}"
        made["certificate"] = self.step("certificate", lambda: self.document(f"{path}/document"))
        made["record"] = self.step("record", lambda: self.raw("GET", f"{path}/record"))
        return {**made, "issued": certificate, "number": worked["number"], "job": job}

    def issued(self, job: str) -> Any:
        """A certificate for all parts, by its preview."""
        path = f"{job}/certificates"
        preview = self.step("preview", lambda: self.sent("GET", f"{path}/preview"))
        assert preview["ready"], preview["unmet"][:3]
        said = {"signed_by": SIGNATORY}
        return self.step("issue", lambda: self.sent("POST", path, said, If_Match=f'"{preview["tag"]}"'))

    def told(self, job: str, worked: Mapping[str, Any]) -> None:
        """Every part's work, in batches, as a crew's page sends them."""
        entries = list(_said(worked))
        for begins in range(0, len(entries), A_BATCH):
            self.sent("POST", f"{job}/entries", {"entries": entries[begins : begins + A_BATCH]})

    def step(self, what: str, act: Callable[[], T]) -> T:
        """Do it, and keep what it took."""
        self.watched.most_mib()
        before = self.watched.processor_s()
        result = act()
        spent = self.watched.processor_s() - before
        self.steps.append(Took(what=what, processor_s=spent, most_mib=self.watched.most_mib()))
        return result

    def document(self, path: str) -> bytes:
        """A document, waited for."""
        began = time.monotonic()
        while time.monotonic() - began < A_DOCUMENT_TAKES_S:
            status, content = self.answered("GET", path)
            if status == 200:
                return content
            time.sleep(0.5)
        raise TimeoutError(f"{path} is not there: {content!r}")

    def sent(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        """What is answered, read."""
        return json.loads(self.raw(method, path, body, **headers))

    def raw(self, method: str, path: str, body: Any = None, **headers: str) -> bytes:
        """What is answered."""
        status, content = self.answered(method, path, body, **headers)
        assert status in (200, 201), (status, content[:500])
        return content

    def answered(self, method: str, path: str, body: Any = None, **headers: str) -> tuple[int, bytes]:
        """Status and content of an answer."""
        head = {"Authorization": f"Bearer {self.key}", "Idempotency-Key": str(uuid4())}
        head |= {name.replace("_", "-"): value for name, value in headers.items()}
        head |= {"Content-Type": "application/json"} if body is not None else {}
        content = None if body is None else json.dumps(body).encode()
        request = Request(f"{self.base}{path}", content, head, method=method)
        try:
            with urlopen(request, timeout=600) as answer:
                return answer.status, answer.read()
        except HTTPError as error:
            return error.code, error.read()


def _said(job: Mapping[str, Any]) -> Iterator[Any]:
    """What careful crews say of a job, of one day that lies behind."""
    midnight = datetime.now(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    day = Day(job, midnight - timedelta(days=1), pace_s=A_WORD_EVERY_S)
    yield from day.before()
    for surveyed, planned in zip(job["cavities"], job["takeoff"]["cavities"], strict=True):
        yield from day.cavity(surveyed, planned)
    yield from day.after()
