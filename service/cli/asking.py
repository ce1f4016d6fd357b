"""Asks on the terminal what a crew did, part by part, in the order of the crew's sheet.

An empty answer is no answer: nothing that has to be measured is filled in beforehand. The clock
of each entry is what was said of the day: checks, deliveries and depths when it began, the rest
when it ended.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

from uuid6 import uuid7

from service.cli.proposing import proposals
from service.cli.terminal import Terminal
from service.engine.ground.messages import message

Entry = dict[str, Any]
GIVES = {"membrane", "netting"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photo by its path: of a part, or of the job."""

    id: str
    path: Path
    cavity: str | None
    caption: str | None


@dataclass(slots=True, kw_only=True)
class Told:
    """What was said of a day: entries and proposals as they would be posted, and the photos beside them."""

    entries: list[Entry] = field(default_factory=list)
    proposals: list[Entry] = field(default_factory=list)
    photos: list[Picture] = field(default_factory=list)


def ask(job: Mapping[str, Any], terminal: Terminal, told: Told) -> None:
    """The entries and photos of a job's day, put into `told` as they are said."""
    terminal.say(message("tally.job", number=job["number"], reference=job["reference"]))
    desk = _Desk(job, terminal, told)
    told.entries += desk.points("before")
    for surveyed, planned in zip(job["cavities"], job["takeoff"]["cavities"], strict=True):
        told.entries += desk.part(surveyed, planned)
    told.proposals += proposals(job, terminal, desk.by)
    told.entries += desk.bags()
    told.entries += desk.points("after")


def only(job: Mapping[str, Any], parts: Collection[str]) -> dict[str, Any]:
    """The job with these parts alone, and what is asked of them before and after."""
    taken = job["takeoff"]
    points = [each for each in taken["hold_points"] if each["cavity"] in parts]
    planned = [each for each in taken["cavities"] if each["label"] in parts]
    return {
        **job,
        "cavities": [each for each in job["cavities"] if each["label"] in parts],
        "takeoff": {**taken, "hold_points": points, "cavities": planned},
    }


class _Desk:
    """Who types, and the day that it is about."""

    def __init__(self, job: Mapping[str, Any], terminal: Terminal, told: Told) -> None:
        self.job, self.terminal, self.told = job, terminal, told
        self.by = terminal.text(message("tally.who"))
        day = terminal.day(message("tally.day"))
        self.began = terminal.moment(day, message("tally.began"))
        self.ended = terminal.moment(day, message("tally.ended"), after=self.began)
        self.said = 0

    def points(self, stage: str) -> Iterator[Entry]:
        """Hold points: the general ones signed together, each of the others by itself."""
        points = [each for each in self.job["takeoff"]["hold_points"] if each["stage"] == stage]
        general = {each["code"]: each for each in points if not each["single"] and not each["reading"]}
        answers = {code: self.terminal.answer(self._words(each)) for code, each in general.items()}
        given = [{"code": code, "answer": answer} for code, answer in answers.items() if answer]
        if given:
            yield self._entry("checks", stage == "before", points=given)
        for point in points:
            if point["code"] not in general:
                yield from self._single(point, stage == "before")

    def _single(self, point: Mapping[str, Any], early: bool) -> Iterator[Entry]:
        asked = f"{point['cavity']}: {self._words(point)}" if point["cavity"] else self._words(point)
        answer = self.terminal.answer(asked)
        if answer is None:
            return
        reading = None
        if point["reading"] and answer != "not_applicable":
            how_much = message("tally.reading", unit=point["reading"]["unit"])
            reading = self.terminal.number(how_much, signed=True)
        said = {"code": point["code"], "cavity": point["cavity"], "answer": answer, "reading": reading}
        yield self._entry("check", early, **said)

    def part(self, surveyed: Mapping[str, Any], part: Mapping[str, Any]) -> Iterator[Entry]:
        """A part in the order of its sheet: bags, machine, what differed, samples, what was found, photos."""
        label, plan = part["label"], part["fill_plan"]
        bags = part["mass_kg"] / self.job["material"]["bag_kg"]
        self.terminal.say(message("tally.part", part=label, bags=round(bags, 1), holes=plan["holes"]))
        yield from self._tally(surveyed, part)
        if part["open_blow"]:
            yield from self._depths(label)
        else:
            yield from self._samples(label, (plan["proof"] or {}).get("sampled_bays", ()))
        self._photos(label)

    def _tally(self, surveyed: Mapping[str, Any], part: Mapping[str, Any]) -> Iterator[Entry]:
        bags = self.terminal.number(message("tally.bags"))
        if not bags:
            return
        left = self.terminal.number(message("tally.left_in_machine"))
        machine = {"run_empty": True} if left == 0 else {"hopper_kg": left}
        bulge = self.terminal.number(message("tally.bulge")) if surveyed["facing"] in GIVES else None
        lot = self.terminal.line(message("tally.lot"))
        several = part["samples"] and part["geometry"]["bays"] > 1
        last = self.terminal.count(message("tally.last_bay")) if several else None
        said = {**machine, "bulge_mm": bulge, "lot": lot, "last_bay": last, **self._holes(part)}
        yield self._entry("tally", False, cavity=part["label"], bags=bags, **said)

    def _holes(self, part: Mapping[str, Any]) -> Entry:
        """Whether holes and patches were as planned, and what differed."""
        if not part["fill_plan"]["holes"]:
            return {}
        if self.terminal.yes(message("tally.as_planned")):
            return {"holes": "as_planned", "patched": "all"}
        omitted = sorted(set(self.terminal.counts(message("tally.omitted"))))
        still_open = sorted(set(self.terminal.counts(message("tally.still_open"))))
        return {
            "holes": {"omitted": omitted} if omitted else "as_planned",
            "patched": {"all_but": still_open} if still_open else "all",
        }

    def _samples(self, label: str, bays: Any) -> Iterator[Entry]:
        """Cores, then the depth that was found; without one each core says how long it is."""
        cores = [core for bay in bays if (core := self._core(bay))]
        depth = self.terminal.number(message("tally.depth_found"))
        if depth:
            yield self._entry("found", True, cavity=label, depth_mm=[depth])
        for core in cores:
            length = None if depth else self.terminal.number(message("tally.core_length", bay=core["bay"]))
            if depth or length:
                yield self._entry("core", False, cavity=label, **core, length_mm=length)
            else:
                self.terminal.say(message("tally.not_recorded"))

    def _core(self, bay: int) -> Entry | None:
        grams = self.terminal.number(message("tally.core", bay=bay))
        if not grams:
            return None
        feel = self.terminal.firm(message("tally.feel"))
        closed = self.terminal.yes(message("tally.core_closed"))
        return {"bay": bay, "mass_g": grams, "feel": feel, "patched": closed}

    def _depths(self, label: str) -> Iterator[Entry]:
        depths = self.terminal.numbers(message("tally.depths"))
        markers = self.terminal.count(message("tally.markers")) if depths else None
        if depths and markers is not None:
            yield self._entry("depth_check", False, cavity=label, depths_mm=depths, markers=markers)
        elif depths:
            self.terminal.say(message("tally.not_recorded"))

    def _photos(self, label: str | None) -> None:
        """Photos of a part, or of the job, each with what it shows."""
        for path in self.terminal.photos(message("tally.photos")):
            caption = self.terminal.line(message("tally.caption", path=path.name))
            self.told.photos.append(Picture(id=str(uuid7()), path=path, cavity=label, caption=caption))

    def bags(self) -> Iterator[Entry]:
        """What came, what was left over and vacuumed up, bags weighed, and hours."""
        self.terminal.say(message("tally.whole_job"))
        came = self.terminal.number(message("tally.delivered"))
        if came:
            lot = self.terminal.line(message("tally.lot"))
            yield self._entry("delivery", True, material=self.job["material"]["code"], bags=came, lot=lot)
        left = self.terminal.number(message("tally.left_over"))
        if left is not None:
            yield self._entry("delivery", False, left_over=left)
        spill = self.terminal.number(message("tally.spill"))
        if spill is not None:
            yield self._entry("reclaimed", False, mass_kg=spill)
        weighed = self.terminal.numbers(message("tally.weighed"))
        if weighed:
            yield self._entry("bag_check", True, masses_kg=weighed)
        people = self.terminal.count(message("tally.people"))
        hours = self.terminal.number(message("tally.hours"))
        if people and hours:
            yield self._entry("hours", False, people=people, hours=hours)
        elif people or hours:
            self.terminal.say(message("tally.not_recorded"))
        self._photos(None)

    def _entry(self, kind: str, early: bool, **fields: Any) -> Entry:
        self.said += 1
        at = (self.began if early else self.ended) + timedelta(seconds=self.said)
        stated = {name: value for name, value in fields.items() if value is not None}
        return {"kind": kind, "id": str(uuid7()), "happened_at": at.isoformat(), "by": self.by, **stated}

    def _words(self, point: Mapping[str, Any]) -> str:
        return self.terminal.theirs(point["text"])
