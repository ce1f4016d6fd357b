"""Asks on the terminal what a crew did, part by part, in the order of the crew's sheet.

An empty answer is no answer: nothing that has to be measured is filled in beforehand. The clock
of each entry is what was said of the day: checks and depths when it began, the rest when it ended.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any

import click
from uuid6 import uuid7

Entry = dict[str, Any]


def ask(job: Mapping[str, Any]) -> list[Entry]:
    """The entries of a job's day, as they would be posted."""
    click.echo(f"{job['number']} {job['reference']}")
    desk = _Desk(job)
    return [
        *desk.points("before"),
        *desk.delivery(),
        *(entry for part in job["takeoff"]["cavities"] for entry in desk.part(part)),
        *desk.points("after"),
        *desk.end(),
    ]


class _Desk:
    """Who types, and the day that it is about."""

    def __init__(self, job: Mapping[str, Any]) -> None:
        self.job = job
        self.by = click.prompt("Who did the work")
        day = click.prompt("Day (YYYY-MM-DD)")
        self.began = _moment(day, click.prompt("Work began (HH:MM)"))
        self.ended = _moment(day, click.prompt("Work ended (HH:MM)"))
        self.said = 0

    def points(self, stage: str) -> Iterator[Entry]:
        """Hold points: the general ones signed together, each of the others by itself."""
        points = [each for each in self.job["takeoff"]["hold_points"] if each["stage"] == stage]
        general = {each["code"]: each for each in points if not each["single"] and not each["reading"]}
        ticked = [code for code, each in general.items() if _yes(_words(each, self.job))]
        clear = [{"code": code, "answer": "clear"} for code in ticked]
        if clear:
            yield self._entry("checks", stage == "before", points=clear)
        for point in points:
            if point["code"] not in general:
                yield from self._single(point, stage == "before")

    def _single(self, point: Mapping[str, Any], early: bool) -> Iterator[Entry]:
        where = f"{point['cavity']}: " if point["cavity"] else ""
        said = {"code": point["code"], "cavity": point["cavity"]}
        if point["reading"]:
            reading = _number(f"{where}{_words(point, self.job)}\n  Reading ({point['reading']['unit']})")
            if reading is not None:
                answer = click.prompt("  Answer", type=click.Choice(["clear", "dealt_with", "stopped"]))
                yield self._entry("check", early, answer=answer, reading=reading, **said)
        elif _yes(f"{where}{_words(point, self.job)}"):
            yield self._entry("check", early, answer="clear", **said)

    def delivery(self) -> Iterator[Entry]:
        """What came."""
        bags = _number("Bags delivered")
        if bags:
            lot = click.prompt("  Lot", default="", show_default=False) or None
            yield self._entry("delivery", True, material=self.job["material"]["code"], bags=bags, lot=lot)

    def part(self, part: Mapping[str, Any]) -> Iterator[Entry]:
        """A part: depth, bags, what differed, and its cores."""
        label, planned_bags = part["label"], part["mass_kg"] / self.job["material"]["bag_kg"]
        click.echo(f"\n{label}: {planned_bags:.1f} bags planned, {part['fill_plan']['holes']} holes")
        depth = None if part["open_blow"] else _number("  Depth found (mm)")
        if depth:
            yield self._entry("found", True, cavity=label, depth_mm=[depth])
        bags = _number("  Bags emptied")
        if bags:
            last = _number("  Bay filled last") if part["samples"] and part["geometry"]["bays"] > 1 else None
            done = {"bags": bags, "last_bay": last and int(last), **_holes(part)}
            yield self._entry("tally", False, cavity=label, **done)
        if part["open_blow"]:
            yield from self._depths(label)
        for bay in (part["fill_plan"]["proof"] or {}).get("sampled_bays", ()):
            yield from self._core(label, bay, depth)

    def _core(self, label: str, bay: int, depth: float | None) -> Iterator[Entry]:
        grams = _number(f"  Core of bay {bay} (g)")
        if grams:
            length = None if depth else _number("    Its length (mm)")
            feel = click.prompt("    Feel", type=click.Choice(["firm", "gives_way"]))
            closed = _yes("    Its hole is closed")
            core = {"bay": bay, "mass_g": grams, "feel": feel, "length_mm": length, "patched": closed}
            yield self._entry("core", False, cavity=label, **core)

    def _depths(self, label: str) -> Iterator[Entry]:
        read = click.prompt("  Depths as blown (mm, with spaces)", default="", show_default=False)
        depths = [float(each.replace(",", ".")) for each in read.split()]
        markers = _number("  Markers counted") if depths else None
        if depths and markers is not None:
            yield self._entry("depth_check", False, cavity=label, depths_mm=depths, markers=int(markers))

    def end(self) -> Iterator[Entry]:
        """Spill, what was left over, and hours."""
        click.echo("")
        spill, left = _number("Vacuumed up (kg, 0 is an answer)"), _number("Bags left over in the end")
        people, hours = _number("People"), _number("Hours each")
        if spill is not None:
            yield self._entry("reclaimed", False, mass_kg=spill)
        if left is not None:
            yield self._entry("delivery", False, left_over=left)
        if people and hours:
            yield self._entry("hours", False, people=int(people), hours=hours)

    def _entry(self, kind: str, early: bool, **fields: Any) -> Entry:
        self.said += 1
        at = (self.began if early else self.ended) + timedelta(seconds=self.said)
        stated = {name: value for name, value in fields.items() if value is not None}
        return {"kind": kind, "id": str(uuid7()), "happened_at": at.isoformat(), "by": self.by, **stated}


def _holes(part: Mapping[str, Any]) -> Entry:
    """Whether holes and patches were as planned, and what differed."""
    if not part["fill_plan"]["holes"]:
        return {}
    if _yes("  All holes made and closed as planned"):
        return {"holes": "as_planned", "patched": "all"}
    omitted, still_open = _numbers("  Numbers not made"), _numbers("  Numbers still open")
    return {
        "holes": {"omitted": omitted} if omitted else "as_planned",
        "patched": {"all_but": still_open} if still_open else "all",
    }


def _words(point: Mapping[str, Any], job: Mapping[str, Any]) -> str:
    text: Mapping[str, str] = point["text"]
    return text.get(job["language"]) or next(iter(text.values()))


def _moment(day: str, clock: str) -> datetime:
    """A moment of a day by this machine's clock, with its offset; asked for in words that can be wrong."""
    try:
        return datetime.fromisoformat(f"{day}T{clock}:00").astimezone()
    except ValueError:
        raise click.BadParameter(f"{day} {clock} is no day and time.") from None


def _yes(question: str) -> bool:
    """Yes or no: nothing is taken for granted."""
    return click.confirm(question, default=None)


def _number(question: str) -> float | None:
    """A number, or None where nothing is typed."""
    while True:
        typed = click.prompt(question, default="", show_default=False).strip().replace(",", ".")
        try:
            return float(typed) if typed else None
        except ValueError:
            click.echo("  This is no number.")


def _numbers(question: str) -> list[int]:
    typed = click.prompt(f"{question} (with spaces)", default="", show_default=False)
    return sorted({int(each) for each in typed.replace(",", " ").split() if each.isdigit()})
