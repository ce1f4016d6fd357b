"""What has become of a job's supplements, step by step, and what that says of the job's parts.

A part that a supplement brings can be named by entries as soon as it is proposed. It is agreed once
the client accepts the supplement, or the office takes it over. What is not agreed stays on the job's
plan while the supplement is open, and where something was recorded of it: it is in the wall.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.vocabulary import SupplementState
from service.engine.survey.single import single_labels
from service.store import entries, row_types, supplements
from service.store.row_types import SupplementStep
from service.usecases.work.said import kind_stated, parts_named

STATES = {
    "proposal": SupplementState.PROPOSED,
    "offer": SupplementState.OFFERED,
    "acceptance": SupplementState.ACCEPTED,
    "refusal": SupplementState.REFUSED,
    "withdrawal": SupplementState.WITHDRAWN,
}
OPEN = (SupplementState.PROPOSED, SupplementState.OFFERED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplement:
    """A supplement and the steps that it went through, in their order."""

    row: row_types.Supplement
    steps: tuple[SupplementStep, ...]

    @property
    def id(self) -> UUID:
        """Its id, made by who proposed it."""
        return self.row["id"]

    @property
    def number(self) -> str:
        """What people call it."""
        return self.row["number"]

    @property
    def version(self) -> int:
        """Counts up with every step."""
        return len(self.steps)

    @property
    def state(self) -> SupplementState:
        """How far it has come; that it was taken over is no state of it."""
        return STATES[next(step["kind"] for step in reversed(self.steps) if step["kind"] in STATES)]

    @property
    def is_accepted(self) -> bool:
        """Whether the client pays for it."""
        return self.state is SupplementState.ACCEPTED

    @property
    def is_refused(self) -> bool:
        """Whether the client said no."""
        return self.state is SupplementState.REFUSED

    @property
    def is_agreed(self) -> bool:
        """Whether its parts can be certified."""
        return self.is_accepted or self.last("takeover") is not None

    @property
    def is_open(self) -> bool:
        """Whether it can still be offered or accepted."""
        return self.state in OPEN

    @property
    def is_planned(self) -> bool:
        """Whether its parts are to be filled, by what has become of it."""
        return self.is_agreed or self.is_open

    @property
    def recorded(self) -> dict[str, Any]:
        """What papers say of it: never who accepted it, who is erased with the client."""
        accepted, taken_over = self.last("acceptance"), self.last("takeover")
        return {
            "number": self.number,
            "state": self.state,
            "agreed": self.is_agreed,
            "dropped": self.row["dropped"],
            "accepted_at": accepted and accepted["taken_at"],
            "taken_over": taken_over and {"taken_at": taken_over["taken_at"], **taken_over["data"]},
        }

    def last(self, kind: str) -> SupplementStep | None:
        """Its last step of a kind."""
        return next((step for step in reversed(self.steps) if step["kind"] == kind), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A part's standing: the supplement that it belongs to, whether it is agreed, and on the plan."""

    supplement: str | None = None
    agreed: bool = True
    planned: bool = True


@dataclass(frozen=True, kw_only=True)
class Agreements:
    """A job's supplements, in the order they were proposed, and the parts that its ledger names.

    Those that are `void` leave out nothing but what is not there: parts of another that was refused.
    """

    supplements: tuple[Supplement, ...]
    named: frozenset[str]
    void: frozenset[UUID] = frozenset()

    @cached_property
    def dropped(self) -> Mapping[str, Supplement]:
        """The parts that are agreed to be left out, each with the supplement that says so."""
        agreed = (each for each in self.supplements if each.is_agreed)
        return {label: each for each in agreed for label in each.row["dropped"]}

    @cached_property
    def by_id(self) -> Mapping[UUID, Supplement]:
        """The supplements by their ids."""
        return {each.id: each for each in self.supplements}

    def standing(self, label: str, own: Supplement | None = None) -> Standing:
        """How a part stands that the supplement `own` brought; the quote, where there is none."""
        if label in self.dropped:
            return Standing(supplement=self.dropped[label].number, agreed=False, planned=label in self.named)
        if own is None:
            return Standing()
        planned = own.is_planned or label in self.named
        return Standing(supplement=own.number, agreed=own.is_agreed, planned=planned)

    @property
    def versions(self) -> tuple[tuple[UUID, int], ...]:
        """Names all that there is of them: while it is the same, so are they."""
        return tuple((each.id, each.version) for each in self.supplements)

    @property
    def accepted(self) -> tuple[Supplement, ...]:
        """Those that the client pays for."""
        return tuple(each for each in self.supplements if each.is_accepted)

    @property
    def on_the_plan(self) -> tuple[Supplement, ...]:
        """Those whose quantities and hold points the job has."""
        return tuple(each for each in self.supplements if each.is_planned and each.id not in self.void)

    def summary(
        self, quoted: Mapping[str, Any], labels: frozenset[str], *, ever: bool = False
    ) -> dict[str, Any]:
        """A quote's totals and hold points with those of the supplements, where these parts are planned.

        Its price stays the quote's. The hold points are those on the plan, or all that there `ever` were.
        """
        found = dict(quoted)
        for each in self.on_the_plan:
            found |= {name: found[name] + value for name, value in each.row["summary"].items()}
        return {**found, "hold_points": self._hold_points(quoted["hold_points"], labels, ever=ever)}

    def _hold_points(self, quoted: Iterable[Any], labels: frozenset[str], *, ever: bool) -> list[Any]:
        planned = self.supplements if ever else self.on_the_plan
        brought = (
            point
            for each in self.supplements
            for point in each.row["hold_points"]
            if each in planned or point["cavity"] in labels
        )
        gone = set() if ever else set(self.dropped) - labels
        return [point for point in (*quoted, *brought) if point["cavity"] not in gone]


def of_quote(connection: Connection, quote_id: UUID) -> Agreements:
    """The supplements of the job that a quote became."""
    return _agreements(connection, _followed(connection, supplements.of_quote(connection, quote_id)))


def proposed(connection: Connection, quote_id: UUID) -> Agreements:
    """The same for who asks for parts that there ever were: what is recorded of them decides nothing."""
    known = _followed(connection, supplements.of_quote(connection, quote_id))
    return Agreements(supplements=known, named=frozenset())


def of_jobs(connection: Connection, job_ids: Iterable[UUID]) -> dict[UUID, Agreements]:
    """The supplements of those of these jobs that have some, by job."""
    found: dict[UUID, tuple[Supplement, ...]] = {}
    for each in _followed(connection, supplements.of_jobs(connection, list(job_ids))):
        found[each.row["job_id"]] = (*found.get(each.row["job_id"], ()), each)
    return {job_id: _agreements(connection, known) for job_id, known in found.items()}


def _agreements(connection: Connection, known: tuple[Supplement, ...]) -> Agreements:
    # What the ledger names is asked for only where it decides something.
    decides = any(each.row["dropped"] or not each.is_planned for each in known)
    its_named = named(connection, known[0].row["job_id"]) if decides else frozenset()
    return Agreements(supplements=known, named=its_named, void=_void(connection, known))


def _void(connection: Connection, known: tuple[Supplement, ...]) -> frozenset[UUID]:
    gone = {each.id for each in known if not each.is_planned}
    leaving_out = [each for each in known if each.row["dropped"]]
    if not gone or not leaving_out:
        return frozenset()
    brought = brought_by(supplements.lines_of(connection, [known[0].row["job_id"]]))
    return frozenset(
        each.id
        for each in leaving_out
        if each.id not in brought.values() and {brought.get(label) for label in each.row["dropped"]} <= gone
    )


def brought_by(rows: Iterable[Mapping[str, Any]]) -> dict[str, UUID]:
    """Each part that these cavities of supplements are, with the supplement that brings it."""
    return {
        label: row["supplement_id"]
        for row in rows
        for label in single_labels(label=row["label"], count=row["count"])
    }


def _followed(connection: Connection, rows: list[row_types.Supplement]) -> tuple[Supplement, ...]:
    steps: dict[Any, list[SupplementStep]] = {}
    if rows:
        for step in supplements.steps_of(connection, {row["job_id"] for row in rows}):
            steps.setdefault((step["job_id"], step["supplement_id"]), []).append(step)
    return tuple(Supplement(row=row, steps=tuple(steps[row["job_id"], row["id"]])) for row in rows)


def named(connection: Connection, job_id: UUID) -> frozenset[str]:
    """The parts that something is recorded of, and stands.

    What was only found there was not done: it may be why a part is left out.
    """
    ledger = entries.of_job(connection, job_id)
    corrected = {row["corrects"] for row in ledger}
    stands = (row for row in ledger if row["id"] not in corrected and kind_stated(row) != "found")
    return frozenset(label for row in stands for label in parts_named(row["data"]))
