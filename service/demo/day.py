"""A day on site, played: what a careful crew says of a job, part by part and by exception.

Nothing is looked up in the answer key: the entries follow from the crew's sheet, with the
scatter of real work, and are posted like anybody's. On a day with mishaps a tally and a
core were typed wrong and are corrected, one part is shallower than it was drawn, and one
bay was too loose and is packed again.
"""

import random
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from math import pi
from typing import Any

from uuid6 import uuid7

from service.engine.ground.rfc3339 import moment_text

Entry = dict[str, Any]
Part = Mapping[str, Any]

BAG_SPREAD_KG = 0.12
TOOL_MM = 100.0
PACE_S = 45
MOISTURE_PERCENT = 14
PRESSURE_KPA = 22
SHALLOWER_MM = 4
LOOSE = 0.75


class Day:
    """One crew's day; the same seed plays the same day, but for the ids of what is said.

    Something is said every `pace_s`: several crews say more in a day.
    """

    def __init__(
        self,
        job: Mapping[str, Any],
        begins: datetime,
        seed: int = 7,
        *,
        mishaps: bool = False,
        pace_s: int = PACE_S,
    ) -> None:
        self.job = job
        self.clock, self.pace = begins, timedelta(seconds=pace_s)
        self.chance = random.Random(seed)  # noqa: S311 - scatter of a played day, not a secret
        self.blown_kg = 0.0
        # The label of the pallet, photographed: the id is made here, the picture comes when it comes.
        self.photos = [str(uuid7())] if mishaps else []
        self.mishaps = {"tally", "core", "found", "loose"} if mishaps else set[str]()

    def before(self) -> list[Entry]:
        """Hold points before filling, the delivery, and bags weighed."""
        masses = [round(self.bag_kg + abs(self.chance.gauss(0, BAG_SPREAD_KG)), 2) for _ in range(8)]
        came = {"material": self.job["material"]["code"], "lot": "L-2611", "bags": self.delivered_bags}
        came |= {"photos": self.photos} if self.photos else {}
        return [
            *self._answers("before"),
            self._entry("delivery", **came),
            self._entry("bag_check", masses_kg=masses, lot="L-2611"),
        ]

    def cavity(self, surveyed: Part, planned: Part) -> list[Entry]:
        """One part filled: what was found, the tally, then depths or cores."""
        depth_mm = sum(layer["depth_mm"] for layer in surveyed["layers"])
        if planned["open_blow"]:
            return list(self._open(planned))
        shallow = len(surveyed["layers"]) == 1 and self._happens("found")
        found = [self._found(surveyed, depth_mm)] if shallow else []
        return [*found, *self._dense(planned), *self._cores(planned, depth_mm, found=shallow)]

    def after(self) -> list[Entry]:
        """Hold points after filling, spill, what was left over, hours, and the air test."""
        reclaimed_kg = round(self.blown_kg * 0.012, 1)
        left_over = self.delivered_bags - self.blown_kg / self.bag_kg
        return [
            *self._answers("after"),
            self._entry("reclaimed", mass_kg=reclaimed_kg),
            self._entry("delivery", left_over=round(left_over, 1)),
            self._entry("hours", people=2, hours=8.5),
            self._entry("air_test", n50_per_h=0.52, before_or_after="after", tested_by="Site blower door"),
        ]

    @property
    def bag_kg(self) -> float:
        """What a bag of this lot holds: a little more than the label's least."""
        return float(self.job["material"]["bag_kg"]) + 0.1

    @property
    def delivered_bags(self) -> int:
        """Bags on the van: as ordered, and some to spare."""
        return int(self.job["takeoff"]["bags"] * 1.05) + 6

    def _entry(self, kind: str, **fields: Any) -> Entry:
        self.clock += self.pace
        said = {"happened_at": moment_text(self.clock), "by": "Demo crew"}
        return {"kind": kind, "id": str(uuid7()), **said, **fields}

    def _correction(self, wrong: Entry, reason: str, **right: Any) -> Entry:
        replacement = {name: value for name, value in {**wrong, **right}.items() if name != "id"}
        return self._entry("correction", entry=wrong["id"], reason=reason, replacement=replacement)

    def _answers(self, stage: str) -> Iterator[Entry]:
        points = [point for point in self.job["takeoff"]["hold_points"] if point["stage"] == stage]
        alone = [point for point in points if point["single"] or point["reading"]]
        together = dict.fromkeys(point["code"] for point in points if point not in alone)
        if together:
            answered = [{"code": code, "answer": "clear"} for code in together]
            yield self._entry("checks", points=answered)
        measured: set[str] = set()
        for point in alone:
            # The highest reading of the house stands for all of its parts.
            if point["reading"] and point["code"] in measured:
                continue
            measured.add(point["code"])
            each = point["cavity"] and not point["reading"]
            where = {"cavity": point["cavity"]} if each else {}
            yield self._entry("check", code=point["code"], answer="clear", **where, **_reading(point))

    def _found(self, surveyed: Part, depth_mm: float) -> Entry:
        """A part that is shallower than it was drawn, read at three places."""
        readings = [depth_mm - SHALLOWER_MM + off for off in (-1, 0, 1)]
        return self._entry("found", cavity=surveyed["label"], depth_mm=readings)

    def _happens(self, mishap: str) -> bool:
        """Whether a mishap of the day happens now: each does once."""
        happens = mishap in self.mishaps
        self.mishaps.discard(mishap)
        return happens

    def _dense(self, planned: Part) -> Iterator[Entry]:
        mass_kg = round(planned["mass_kg"] * self.chance.uniform(0.998, 1.002), 1)
        self.blown_kg += mass_kg
        right = {
            "cavity": planned["label"],
            "mass_kg": mass_kg,
            "run_empty": True,
            "lot": "L-2611",
            "last_bay": self._bays(planned)[-1],
            "holes": "as_planned",
            "patched": "all",
        }
        if self._happens("tally"):
            wrong = self._entry("tally", **{**right, "mass_kg": round(mass_kg + 90, 1)})
            yield wrong
            yield self._correction(wrong, "A figure was read wrong.", mass_kg=mass_kg)
        else:
            yield self._entry("tally", **right)

    def _cores(self, planned: Part, depth_mm: float, *, found: bool) -> Iterator[Entry]:
        """Cores through the whole depth: that which was found, or as long as they came out of the tube."""
        length = {} if found else {"length_mm": depth_mm}
        target = planned["density"]["target_kg_m3"]["value"]
        kg_m3_in_g = pi / 4 * (TOOL_MM / 1000) ** 2 * depth_mm
        for bay in self._bays(planned):
            mass_g = round(target * kg_m3_in_g * self.chance.uniform(0.99, 1.01), 1)
            core = {
                "cavity": planned["label"],
                "bay": bay,
                "mass_g": mass_g,
                "feel": "firm",
                "patched": True,
                **length,
            }
            if self._happens("loose"):
                yield self._entry("core", **core | {"mass_g": round(mass_g * LOOSE, 1), "feel": "gives_way"})
                yield self._again(planned, bay)
            if self._happens("core"):
                wrong = self._entry("core", **core | {"mass_g": round(mass_g / 10, 1)})
                yield wrong
                yield self._correction(wrong, "The point was typed one place too far left.", mass_g=mass_g)
            else:
                yield self._entry("core", **core)

    def _again(self, planned: Part, bay: int) -> Entry:
        """A bay that was too loose is packed again."""
        mass_kg = 1.5
        self.blown_kg += mass_kg
        return self._entry(
            "fill", cavity=planned["label"], bay=bay, mass_kg=mass_kg, run_empty=True, lot="L-2611"
        )

    def _bays(self, planned: Part) -> list[int]:
        """The bays to core, spread over the part: as many as are asked for, and the one filled last."""
        bays = sorted({bay for space in planned["compartments"] for bay in space["bays"]})
        wanted = min(len(bays), max(2, -(-len(bays) // 5)))
        step = max(1, len(bays) // wanted)
        return sorted({*bays[step - 1 :: step][: wanted - 1], bays[-1]})

    def _open(self, planned: Part) -> Iterator[Entry]:
        plan = planned["open_blow"]
        blown = round(planned["mass_kg"] * 1.03, 1)
        self.blown_kg += blown
        yield self._entry("tally", cavity=planned["label"], mass_kg=blown, run_empty=True, lot="L-2611")
        depths = [round(plan["initial_mm"] * self.chance.uniform(1.02, 1.06)) for _ in range(12)]
        yield self._entry("depth_check", cavity=planned["label"], depths_mm=depths, markers=plan["markers"])


def _reading(point: Mapping[str, Any]) -> dict[str, float]:
    """What was read, where the point asks for a number."""
    if not point["reading"]:
        return {}
    return {"reading": MOISTURE_PERCENT if point["reading"]["unit"] == "%" else PRESSURE_KPA}
