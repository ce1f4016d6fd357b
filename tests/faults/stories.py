"""What clients do while the server is killed: stories of quotes, offers, jobs, entries and certificates.

Every thing that is made carries a mark of its own, by which the database is asked for it
afterwards. Where two do what only one of them may, exactly one must get through.
"""

from collections.abc import Callable
from typing import Any

from service.demo.day import Day
from tests.api import ACCEPTED, NOW, building
from tests.faults.client import DONE, Client, Sent, at_once

BODIES = {"acceptance": ACCEPTED}
"""What a step is sent with, where it takes a body."""


def small(reference: str, **changes: Any) -> dict[str, Any]:
    """A wall of three bays, so that much happens in little time."""
    wall = next(cavity for cavity in building()["cavities"] if len(cavity["layers"]) == 3)
    cavity = {**wall, "width_m": 2.0, "openings": []}
    return {**building(), "reference": reference, "cavities": [cavity], **changes}


class Stories:
    """The stories of one thread, each about a quote of its own."""

    def __init__(self, client: Client, name: str) -> None:
        self.client, self.name, self.told = client, name, 0

    def tell(self) -> None:
        """One story, by chance."""
        self.told += 1
        kinds: list[Callable[[str], None]] = [self.draft, self.draft, self.draft, self.decision, self.job]
        self.client.chance.choice(kinds)(f"{self.name}-{self.told}")

    def draft(self, reference: str) -> None:
        """A draft, with a key or without; two change it at once."""
        keyed = self.client.chance.random() < 0.7
        made = self._create(reference, keyed=keyed)
        if not made.stored:
            return
        path = _path(made)
        tag = self.client.read(path, "sales").tag
        self._one_of(
            "change",
            200,
            412,
            *(
                lambda km=km: self.client.write(
                    "change",
                    "PUT",
                    path,
                    small(reference, travel_km=km),
                    role="sales",
                    about=km,
                    If_Match=tag,
                )
                for km in (1, 2)
            ),
        )

    def decision(self, reference: str) -> None:
        """An offer that is accepted and withdrawn at once."""
        made = self._create(reference)
        self._offer(made)
        self._one_of(
            "decision",
            DONE,
            409,
            lambda: self._step(made, "acceptance"),
            lambda: self._step(made, "withdrawal"),
        )

    def job(self, reference: str) -> None:
        """An offer that is accepted twice at once, a day's entries, and a certificate."""
        made = self._create(reference)
        self._offer(made)
        accepted = self._one_of(
            "acceptance",
            201,
            409,
            lambda: self._step(made, "acceptance"),
            lambda: self._step(made, "acceptance"),
        )
        if accepted is None or accepted.answer is None:
            return
        job = self.client.read(f"/v1/jobs/{accepted.answer.json['job_id']}/working", "crew").json
        self.work(job, reference)
        self._certify(job, reference)

    def _create(self, reference: str, *, keyed: bool = True) -> Sent:
        made = self.client.write(
            "quote",
            "POST",
            "/v1/quotes",
            small(reference),
            role="sales",
            keyed=keyed,
            copies=self._copies(),
            about=reference,
        )
        if keyed and not made.stored:
            self.client.wrong(f"{reference} was not stored: {made.answer}")
        return made

    def _offer(self, made: Sent) -> None:
        offered = self._step(made, "offer")
        if not offered.stored:
            self.client.wrong(f"{made.about} was not offered: {offered.answer}")

    def _step(self, made: Sent, step: str) -> Sent:
        path = f"{_path(made)}/{step}"
        return self.client.write(
            step, "POST", path, BODIES.get(step), role="sales", copies=self._copies(), about=made.about
        )

    def work(self, job: Any, reference: str) -> None:
        """What a careful crew records of a job."""
        day = Day(job, NOW)
        cavities = zip(job["cavities"], job["takeoff"]["cavities"], strict=True)
        batches = [day.before(), *(day.cavity(*cavity) for cavity in cavities), day.after()]
        for number, batch in enumerate(batches):
            mark = f"{reference} batch {number}"
            entries = [{**entry, "by": mark} for entry in batch]
            path = f"/v1/jobs/{job['id']}/entries"
            recorded = self.client.write(
                "entries",
                "POST",
                path,
                {"entries": entries},
                role="crew",
                copies=self._copies(),
                about=(mark, len(entries)),
            )
            if not recorded.stored:
                self.client.wrong(f"{mark} was not stored: {recorded.answer}")

    def _certify(self, job: Any, reference: str) -> None:
        path = f"/v1/jobs/{job['id']}/certificates"
        body = {"signed_by": "crew"}
        preview = self.client.read(f"{path}/preview", "crew")
        issued = self.client.write(
            "certificate",
            "POST",
            path,
            body,
            role="crew",
            copies=self._copies(),
            about=job["id"],
            If_Match=preview.tag,
        )
        if not issued.stored or issued.answer is None:
            self.client.wrong(f"{reference} had no certificate: {issued.answer}")
        elif self.client.chance.random() < 0.5:
            path = f"/v1/certificates/{issued.answer.json['id']}/withdrawal"
            withdraw = [
                lambda who=who: self.client.write(
                    "withdrawal of", "POST", path, {"reason": who}, role="office"
                )
                for who in ("one", "the other")
            ]
            self._one_of("withdrawal of a certificate", 200, 409, *withdraw)

    def _one_of(
        self, what: str, winner: int | tuple[int, ...], loser: int, *writes: Callable[[], Sent]
    ) -> Sent | None:
        """Do all at once: exactly one must get through; that one is returned."""
        sent = at_once(*writes)
        winners = winner if isinstance(winner, tuple) else (winner,)
        done = [each for each in sent if each.answer and each.answer.status in winners]
        refused = [each for each in sent if each.answer and each.answer.status == loser]
        if len(done) != 1 or len(done) + len(refused) != len(sent):
            self.client.wrong(f"{what}: not exactly one got through: {[each.answer for each in sent]}")
        return done[0] if done else None

    def _copies(self) -> int:
        return self.client.chance.choice((1, 1, 1, 2, 3))


def _path(made: Sent) -> str:
    assert made.answer is not None
    return f"/v1/quotes/{made.answer.json['id']}"
