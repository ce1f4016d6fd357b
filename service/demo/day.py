"""A day on site, played: what a careful crew would record of a job.

Nothing is looked up in the answer key: the entries follow from the crew's sheet,
with the scatter of real work, and are posted like anybody's.
"""

import random
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any

Entry = dict[str, Any]

BAG_SPREAD_KG = 0.12
CORE_MM = 76.0


class Day:
    """One crew's day; the same seed plays the same day."""

    def __init__(self, job: Mapping[str, Any], begins: datetime, seed: int = 7) -> None:
        self.job = job
        self.clock = begins
        self.chance = random.Random(seed)  # noqa: S311 - scatter of a played day, not a secret
        self.blown_kg = 0.0

    def before(self) -> list[Entry]:
        """Hold points before filling, and bags weighed."""
        bag_kg = self.job["material"]["bag_kg"]
        masses = [round(bag_kg + abs(self.chance.gauss(0.1, BAG_SPREAD_KG)), 2) for _ in range(8)]
        return [*self._answers("before"), self._entry("bag_check", masses_kg=masses)]

    def cavity(self, surveyed: Mapping[str, Any], planned: Mapping[str, Any]) -> list[Entry]:
        """One cavity filled: material, holes, samples or depths, and a patch on everything cut."""
        if planned["open_blow"]:
            return list(self._open(planned))
        work = [*self._holes(planned), *self._fills(planned), *self._samples(surveyed, planned)]
        return [*work, *(self._patch(cut) for cut in work if cut["kind"] == "penetration")]

    def after(self) -> list[Entry]:
        """Hold points after filling, the stock, and the air test."""
        bag_kg = self.job["material"]["bag_kg"] + 0.1
        reclaimed_kg = round(self.blown_kg * 0.012, 1)
        needed = (self.blown_kg + reclaimed_kg) / bag_kg
        delivered = int(needed) + 6
        return [
            *self._answers("after"),
            self._entry(
                "stock",
                delivered_bags=delivered,
                left_over_bags=round(delivered - needed, 1),
                reclaimed_kg=reclaimed_kg,
            ),
            self._entry("air_test", n50_per_h=0.52, before_or_after="after", by="Site blower door"),
        ]

    def _entry(self, kind: str, **fields: Any) -> Entry:
        self.clock += timedelta(seconds=45)
        return {
            "kind": kind,
            "recorded_at": self.clock.isoformat().replace("+00:00", "Z"),
            "recorded_by": "Demo crew",
            **fields,
        }

    def _answers(self, stage: str) -> Iterator[Entry]:
        for point in self.job["takeoff"]["hold_points"]:
            if point["stage"] != stage:
                continue
            where = {"cavity": point["cavity"]} if point["cavity"] else {}
            reading = {"reading": "14 %"} if "moisture" in point["code"] else {}
            yield self._entry("hold_point", code=point["code"], answer="clear", **where, **reading)

    def _fills(self, planned: Mapping[str, Any]) -> Iterator[Entry]:
        method = planned["fill_plan"]["method"]
        settings = (
            {"settings": planned["fill_plan"]["settings"]["en"]} if planned["fill_plan"]["settings"] else {}
        )
        for bay, mass_kg in _loads(planned):
            blown = round(mass_kg * self.chance.uniform(0.995, 1.005), 1)
            self.blown_kg += blown
            yield self._entry(
                "fill", cavity=planned["label"], bay=bay, method=method, mass_kg=blown, **settings
            )

    def _holes(self, planned: Mapping[str, Any]) -> Iterator[Entry]:
        for copy in range(planned["count"]):
            for hole in planned["fill_plan"]["hole_list"]:
                number = hole["number"] + copy * len(planned["fill_plan"]["hole_list"])
                yield self._entry(
                    "penetration",
                    tag=f"{planned['label']}-{number:02d}",
                    cavity=planned["label"],
                    bay=hole["bay"],
                    purpose="entry",
                    width_mm=hole["width_mm"],
                    height_mm=hole["height_mm"],
                )

    def _samples(self, surveyed: Mapping[str, Any], planned: Mapping[str, Any]) -> Iterator[Entry]:
        depth_mm = sum(layer["depth_mm"] for layer in surveyed["layers"])
        target = planned["density"]["target_kg_m3"]["value"]
        for number, bay in enumerate(self._sampled_bays(planned), start=1):
            density = target * self.chance.uniform(0.99, 1.01)
            litres = 3.14159265 / 4 * (CORE_MM / 1000) ** 2 * depth_mm
            yield self._entry(
                "penetration",
                tag=f"{planned['label']}-S{number}",
                cavity=planned["label"],
                bay=bay,
                purpose="sample",
                width_mm=CORE_MM,
                height_mm=CORE_MM,
            )
            yield self._entry(
                "sample",
                cavity=planned["label"],
                bay=bay,
                shape="core",
                diameter_mm=CORE_MM,
                length_mm=depth_mm,
                mass_g=round(density * litres, 1),
                feel="firm",
            )

    def _sampled_bays(self, planned: Mapping[str, Any]) -> Iterator[int]:
        """As many bays of each shared compartment as the plan asks for, the last one filled among them."""
        shared = [each["bays"] for each in planned["compartments"] if each["shared"]]
        wanted = planned["samples"] // planned["count"] if shared else 0
        for bays in shared:
            each = max(2, -(-wanted // len(shared)))
            step = max(1, len(bays) // each)
            yield from sorted({*bays[step - 1 :: step][: each - 1], bays[-1]})

    def _open(self, planned: Mapping[str, Any]) -> Iterator[Entry]:
        plan = planned["open_blow"]
        blown = round(planned["mass_kg"] * 1.03, 1)
        self.blown_kg += blown
        yield self._entry("fill", cavity=planned["label"], method="open_blow", mass_kg=blown)
        depths = [round(plan["initial_mm"] * self.chance.uniform(1.02, 1.06)) for _ in range(12)]
        yield self._entry("depth_check", cavity=planned["label"], depths_mm=depths, markers=plan["markers"])

    def _patch(self, cut: Entry) -> Entry:
        return self._entry(
            "patch",
            tag=cut["tag"],
            width_mm=cut["width_mm"] + 104,
            height_mm=cut["height_mm"] + 104,
            tape="Airtight tape, 150 mm",
            wiped=True,
            rubbed_down=True,
        )


def _loads(planned: Mapping[str, Any]) -> Iterator[tuple[int, float]]:
    """The kilograms that go in at each bay; a shared compartment's evenly: only their sum is known."""
    volumes: dict[int, float] = {}
    for space in planned["compartments"]:
        for bay in space["bays"]:
            volumes[bay] = volumes.get(bay, 0.0) + space["net_volume_m3"] / len(space["bays"])
    whole = sum(volumes.values())
    for bay in sorted(volumes):
        yield bay, planned["mass_kg"] * volumes[bay] / whole
