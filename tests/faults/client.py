"""A good client: it marks what must happen once, and sends it again until it has an answer."""

import json
import random
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from threading import Lock
from typing import Any, TypeVar
from uuid import UUID

from service.engine.ground.vocabulary import EventKind

T = TypeVar("T")

# What belongs to the one answer, and not to what was asked.
OF_ONE_ANSWER = {"x-request-id", "date"}
GIVES_UP_AFTER_S = 150
# A worker that was killed holds what it had begun for half a minute.
MADE_WITHIN_S = 120
DONE = (200, 201)
SUBSCRIBED = "the only subscription"
"""The key of the request whose answer is kept under the secret key: it holds the secret."""
NOT_NOW = (429, 502, 503, 504)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came back."""

    status: int
    body: bytes
    headers: tuple[tuple[str, str], ...]

    @property
    def json(self) -> Any:
        """The body, read."""
        return json.loads(self.body)

    @property
    def tag(self) -> str:
        """The ETag."""
        return dict(self.headers)["etag"]


@dataclass(slots=True, kw_only=True)
class Sent:
    """A write and what became of it; no answer when nobody knows."""

    what: str
    method: str
    path: str
    role: str
    content: bytes
    headers: Mapping[str, str]
    key: str | None
    about: Any = None
    answer: Answer | None = None

    @property
    def stored(self) -> bool:
        """Whether it was answered as done."""
        return self.answer is not None and self.answer.status in DONE


@dataclass(slots=True)
class Told:
    """Every write that was sent, and how often anything went wrong."""

    writes: list[Sent] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    attempts: int = 0
    broken: int = 0
    put_off: int = 0
    lock: Lock = field(default_factory=Lock)


class Client:
    """Calls with keys by role, in its own thread of a seed's making."""

    def __init__(
        self, port: int, keys: Mapping[str, str], told: Told, seed: str, host: str = "127.0.0.1"
    ) -> None:
        self.host, self.port, self.keys, self.told = host, port, keys, told
        self.chance = random.Random(seed)

    def write(
        self,
        what: str,
        method: str,
        path: str,
        body: Any = None,
        *,
        role: str,
        keyed: bool = True,
        copies: int = 1,
        insists: bool = True,
        about: Any = None,
        **headers: str,
    ) -> Sent:
        """Send a write until it is answered; once only without a key, or when the client does not insist.

        Of several `copies`, all at once, every one must have the same answer.
        """
        sent = Sent(
            what=what,
            method=method,
            path=path,
            role=role,
            content=b"" if body is None else json.dumps(body).encode(),
            headers={name.replace("_", "-"): value for name, value in headers.items()},
            key=str(UUID(int=self.chance.getrandbits(128))) if keyed else None,
            about=about,
        )
        with self.told.lock:
            self.told.writes.append(sent)
        if keyed and insists:
            answers = at_once(*[lambda: self.settled(sent)] * copies)
            sent.answer = answers[0]
            if {_essence(answer) for answer in answers} != {_essence(sent.answer)}:
                self.wrong(f"{what}: copies had different answers: {answers}")
        else:
            sent.answer = self.once(sent)
        if sent.answer is not None and sent.answer.status == 500:
            self.wrong(f"{what} was answered 500: {sent.answer.body[:300]!r}")
        return sent

    def subscribe(self, url: str) -> None:
        """Have every event delivered to an address; nothing is killed yet."""
        body = {"url": url, "events": [str(kind) for kind in EventKind]}
        path, once = "/v1/subscriptions/FAULTS", {"Idempotency_Key": SUBSCRIBED}
        sent = self.write("subscription", "PUT", path, body, role="office", keyed=False, **once)
        if not sent.stored:
            self.wrong(f"nothing is delivered: {sent.answer}")

    def wrong(self, fault: str) -> None:
        """Note something that must not be."""
        with self.told.lock:
            self.told.faults.append(fault)

    def settled(self, sent: Sent) -> Answer:
        """Send, again and again with pauses, until there is an answer that means something."""
        deadline = time.monotonic() + GIVES_UP_AFTER_S
        pause_s = 0.02
        while True:
            answer = self.once(sent)
            if answer is not None and answer.status not in NOT_NOW:
                return answer
            if time.monotonic() > deadline:
                raise TimeoutError(f"{sent.what} had no answer: {answer}")
            time.sleep(pause_s * self.chance.uniform(0.5, 1.5))
            pause_s = min(pause_s * 2, 0.5)

    def once(self, sent: Sent) -> Answer | None:
        """Send once; None when the connection broke."""
        headers = {"Authorization": f"Bearer {self.keys[sent.role]}", **sent.headers}
        if sent.content:
            headers["Content-Type"] = "application/json"
        if sent.key:
            headers["Idempotency-Key"] = sent.key
        connection = HTTPConnection(self.host, self.port, timeout=60)
        answer = None
        try:
            connection.request(sent.method, sent.path, sent.content, headers)
            response = connection.getresponse()
            lines = sorted((name.lower(), value) for name, value in response.getheaders())
            answer = Answer(
                status=response.status,
                body=response.read(),
                headers=tuple(line for line in lines if line[0] not in OF_ONE_ANSWER),
            )
        except (OSError, HTTPException):
            pass
        finally:
            connection.close()
        with self.told.lock:
            self.told.attempts += 1
            self.told.broken += answer is None
            self.told.put_off += answer is not None and answer.status in NOT_NOW
        return answer

    def read(self, path: str, role: str) -> Answer:
        """Read until it is answered; a document, until it is made."""
        deadline = time.monotonic() + MADE_WITHIN_S
        while (answer := self.ask(path, role)).status == 202 and time.monotonic() < deadline:
            time.sleep(0.1)
        return answer

    def ask(self, path: str, role: str) -> Answer:
        """What is read just now: of a document that is being made, that it is not there yet."""
        sent = Sent(what="read", method="GET", path=path, role=role, content=b"", headers={}, key=None)
        return self.settled(sent)


def _essence(answer: Answer) -> object:
    """What copies must have in common: all of an answer; of a refusal, which is not kept, that it is one."""
    return answer if answer.status in DONE else answer.status


def at_once(*calls: Callable[[], T]) -> list[T]:
    """What each call returns when all are made at the same time, each in a thread of its own."""
    with ThreadPoolExecutor(len(calls)) as pool:
        return [future.result() for future in [pool.submit(call) for call in calls]]
