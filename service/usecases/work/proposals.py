"""What a supplement comes to: its parts, what the job takes more, and its price, by the quote's basis."""

import itertools
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.engine.ground.messages import message
from service.engine.plan.hold_points import HoldPoint, hold_points
from service.engine.plan.price import Price
from service.engine.plan.supplement import More, difference, more
from service.engine.plan.takeoff import Takeoff
from service.engine.survey.build_up import BuildUp
from service.engine.survey.cavity import Cavity
from service.engine.survey.single import one_by_one, single_labels
from service.errors import Fault, InvalidInput
from service.settings import Settings
from service.store.row_types import Quote, QuoteCavity, SupplementCavity
from service.usecases.base.json import from_json, to_json
from service.usecases.work import takeoffs
from service.usecases.work.agreed import Agreements, Supplement, brought_by
from service.usecases.work.basis import InForce
from service.usecases.work.bodies import CountBody, SupplementBody
from service.usecases.work.expanded import expanded, where_posted
from service.usecases.work.parts import Part, Whole
from service.usecases.work.workings import cavity_rows

Row = Mapping[str, Any]
Brought = tuple[str, Row]
"""What the cavity is called that a part is one of, and how the part was surveyed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What a supplement is worked out from: the quote, all parts that there `ever` were, what was agreed.

    `named` are the parts that something was recorded of, `build_ups` those that its cavities name.
    """

    quote: Quote
    quoted: Sequence[QuoteCavity]
    added: Sequence[SupplementCavity]
    ever: Whole
    named: frozenset[str]
    build_ups: tuple[BuildUp, ...] = ()

    @property
    def basis(self) -> InForce:
        """The versions that the quote was worked out by."""
        return from_json(InForce, self.quote["basis"])

    @property
    def agreements(self) -> Agreements:
        """The job's supplements."""
        return self.ever.agreements

    def building(
        self, by: Sequence[Supplement], posted: Iterable[Brought] = (), dropped: Iterable[str] = ()
    ) -> list[Row]:
        """The job's cavities as posted, each as often as it is there by these supplements.

        So is what is `posted` besides, and not there is what is `dropped`.
        """
        ids = {each.id for each in by}
        quoted = ((row["label"], row["surveyed"]) for row in self.quoted)
        added = ((row["origin"], row["surveyed"]) for row in self.added if row["supplement_id"] in ids)
        gone = {*dropped, *(label for each in by for label in each.row["dropped"])}
        first: dict[str, Row] = {}
        counts: Counter[str] = Counter()
        for origin, surveyed in (*quoted, *added, *posted):
            first.setdefault(origin, surveyed)
            labels = single_labels(label=surveyed["label"], count=surveyed.get("count", 1))
            counts[origin] += len(set(labels) - gone)
        return [
            {**first[origin], "label": origin, "count": count} for origin, count in counts.items() if count
        ]

    def work_out(self, cavities: Sequence[Row], lines: Sequence[Row] = ()) -> Takeoff:
        """A building of these cavities, with all else as it was quoted, and these lines besides."""
        quoted = self.quote["body"]
        added = {"cavities": cavities, "lines": [*quoted.get("lines", ()), *lines]}
        body: Any = {**quoted, "currency": self.quote["currency"], **added}
        return takeoffs.work_out(self.basis, body, date.fromisoformat(quoted["priced_on"]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposed:
    """What a proposal comes to: its cavities' rows, the parts left out, and what the job takes more."""

    cavities: Sequence[Row]
    counts: Sequence[Row]
    dropped: Sequence[str]
    hold_points: Sequence[HoldPoint]
    more: More


@dataclass(frozen=True, slots=True, kw_only=True)
class _Recounted:
    """A cavity of which there are more or fewer: the parts that come, as posted, and those that go."""

    named: str
    cavity: str
    count: int
    change: int
    copies: Sequence[Row]
    dropped: Sequence[str]

    def contradicts(self, other: "_Recounted") -> bool:
        """Whether both are of one cavity; not where each says that another of its parts is not there."""
        apart = self.named not in (self.cavity, other.named) and other.named != other.cavity
        gone = not self.copies and not other.copies
        return self.cavity == other.cavity and not (apart and gone)


def worked_out(known: Known, body: SupplementBody, settings: Settings) -> Proposed:
    """Work out a proposal; raises InvalidInput with a pointer for what cannot be."""
    posted: list[Row] = to_json(expanded(body.get("cavities", []), known.build_ups))
    _refuse(_clashes(known, posted))
    recounted = _recounted(known, body.get("counts", []))
    copies = [(each.cavity, copy) for each in recounted for copy in each.copies]
    brought = [*((each["label"], each) for each in posted), *copies]
    new = [surveyed for _, surveyed in brought]
    dropped = [label for each in recounted for label in each.dropped]
    _refuse(_undecided(known, dropped, new))
    after = known.building(known.agreements.on_the_plan, brought, dropped)
    if not after:
        raise InvalidInput(Fault("/counts", message("supplements.nothing_left")))
    takeoffs.check_size(settings, {"cavities": after})
    rows = _rows(known, new, body.get("cavities", []))
    return Proposed(
        cavities=[{**row, "origin": origin} for row, (origin, _) in zip(rows, brought, strict=True)],
        counts=[{"cavity": each.cavity, "count": each.count, "change": each.change} for each in recounted],
        dropped=dropped,
        hold_points=_hold_points(known, new),
        more=more(
            before=known.work_out(known.building(known.agreements.on_the_plan)), after=known.work_out(after)
        ),
    )


def _undecided(known: Known, dropped: Sequence[str], new: Sequence[Row]) -> Iterator[Fault]:
    """What is still open is left out by itself: refused later, it was never there to be taken off the job."""
    open_ = {each.id for each in known.agreements.supplements if each.is_open and not each.is_agreed}
    owners = brought_by(known.added)
    undecided = [label for label in dropped if owners.get(label) in open_]
    if undecided and (new or len({owners.get(label) for label in dropped}) > 1):
        number = known.agreements.by_id[owners[undecided[0]]].number
        said = message("supplements.undecided_apart", part=undecided[0], supplement=number)
        yield Fault("/counts", said)


def _rows(known: Known, new: Sequence[Row], posted: Sequence[Row]) -> list[dict[str, Any]]:
    if not new:
        return []
    try:
        return cavity_rows(known.basis, new, known.work_out(new).cavities)
    except InvalidInput as error:
        # Copies of what was quoted have no faults: all are of what was posted.
        raise where_posted(error, posted) from None


def price(known: Known, supplement: Supplement, lines: Sequence[Row]) -> Price:
    """What a supplement costs: the job with it less the job that was accepted so far."""
    accepted = known.agreements.accepted
    there = [line for each in accepted for line in _offered_lines(each)]
    before = known.work_out(known.building(accepted), there)
    after = known.work_out(known.building((*accepted, supplement)), [*there, *lines])
    return difference(before=before.price, after=after.price)


def _offered_lines(supplement: Supplement) -> list[Row]:
    offer = supplement.last("offer")
    return priced(supplement, offer["data"]["unit_prices"] if offer else [])


def priced(supplement: Supplement, unit_prices: Sequence[Any]) -> list[Row]:
    """A supplement's own lines, each at its price."""
    lines = zip(supplement.row["lines"], unit_prices, strict=True)
    return [{**line, "unit_price": str(unit_price)} for line, unit_price in lines]


def _refuse(faults: Iterable[Fault]) -> None:
    if found := list(faults):
        raise InvalidInput(*found)


def _clashes(known: Known, posted: Sequence[Row]) -> Iterator[Fault]:
    """A part's label is never another's, nor one's that was refused: it was filled, perhaps."""
    taken = _taken(known)
    for index, each in enumerate(posted):
        labels = {each["label"], *single_labels(label=each["label"], count=each.get("count", 1))}
        if clash := sorted(labels & taken):
            yield Fault(f"/cavities/{index}/label", message("survey.label_taken", label=clash[0]))


def _taken(known: Known) -> set[str]:
    return {label for part in known.ever.parts for label in (part["label"], part["origin"])}


def _recounted(known: Known, counts: Sequence[CountBody]) -> list[_Recounted]:
    faults: list[Fault] = []
    found: list[_Recounted] = []
    for index, each in enumerate(counts):
        try:
            recounted = _recount(known, each)
            if any(recounted.contradicts(other) for other in found):
                raise InvalidInput(
                    Fault("/cavity", message("supplements.counted_twice", cavity=each["cavity"]))
                )
            found.append(recounted)
        except InvalidInput as error:
            faults += error.under(f"/counts/{index}").faults
    _refuse(faults)
    return found


def _recount(known: Known, asked: CountBody) -> _Recounted:
    there = _on_the_plan(known, asked["cavity"])
    if not there:
        raise InvalidInput(Fault("/cavity", message("jobs.no_such_part", cavity=asked["cavity"])))
    change = asked["count"] - len(there)
    if not change:
        raise InvalidInput(Fault("/count", message("supplements.same_count", count=asked["count"])))
    free = [part["label"] for part in there if part["label"] not in known.named]
    if -change > len(free):
        raise InvalidInput(Fault("/count", message("supplements.recorded_of", cavity=asked["cavity"])))
    origin = there[0]["origin"]
    return _Recounted(
        named=asked["cavity"],
        cavity=origin,
        count=len(_on_the_plan(known, origin)) + change,
        change=change,
        copies=_copies(known, there[0], change),
        dropped=free[change:] if change < 0 else (),
    )


def _on_the_plan(known: Known, cavity: str) -> list[Part]:
    """The parts of a cavity, or the one of this label, on the plan, that no supplement is to leave out."""
    planned = known.agreements.on_the_plan
    numbers = {None, *(each.number for each in planned)}
    gone = {label for each in planned for label in each.row["dropped"]}
    return [
        part
        for part in known.ever.parts
        if cavity in (part["origin"], part["label"])
        and part["label"] not in gone
        and part["supplement"] in numbers
    ]


def _copies(known: Known, like: Part, count: int) -> list[Row]:
    """So many parts more, surveyed as this one, each under a label that was never given."""
    taken = _taken(known)
    labels = (label for number in itertools.count(2) if (label := f"{like['origin']}.{number}") not in taken)
    return [
        {**like["surveyed"], "label": label, "count": 1} for label in itertools.islice(labels, max(count, 0))
    ]


def _hold_points(known: Known, new: Sequence[Row]) -> list[HoldPoint]:
    """The hold points that these cavities bring, part by part, and that the job has not got yet."""
    asked = {
        (point["code"], point["cavity"])
        for point in known.ever.summary(known.quote["summary"])["hold_points"]
    }
    brought = hold_points(
        cavities=one_by_one(cavities=from_json(tuple[Cavity, ...], list(new))),
        practice=known.basis.practice,
        built_year=known.quote["body"]["site"].get("built_year"),
    )
    return [point for point in brought if (point.code, point.cavity) not in asked]
