"""A certificate's record held field by field against what a crew said of the three days of a job."""

from math import pi
from typing import Any

import pytest

from tests import phone_days


def assert_says_what_was_said_and_no_more(
    record: Any, entries: list[Any], *, labels: list[str], supersedes: list[str]
) -> None:
    """The record, field by field, against what stands of the ledger."""
    stand = standing(entries)
    assert record["outcome"] == {
        "parts": [{"cavity": label, "verdict": "conforming"} for label in labels],
        "concessions": [],
        "not_part": [],
    }
    assert (record["lots"], record["corrections"], record["doubtful_clocks"]) == (["L-1", "L-2"], 3, 0)
    assert record["supersedes"] == supersedes
    bag_kg, core_mm = mean_bag_kg(record), record["practice"]["sampling"]["core_diameter_mm"]
    assert_agreed(record["supplements"], record["issued_at"])
    for label, part, holes, found in zip(
        labels, record["parts"], record["holes"], record["as_found"], strict=True
    ):
        said = [each for each in stand if each.get("cavity") == label]
        assert part["cavity"]["label"] == holes["cavity"] == found["cavity"] == label
        assert_filled(part["found"], filled(stand, label, bag_kg))
        assert_sampled(part["found"], said, found["depth_mm"], record["practice"])
        assert_holes(holes, said, part["planned"]["fill_plan"]["holes"], core_mm)
        assert_found(found, said, part["cavity"])
        r_fill = found["depth_mm"] / 1000 / record["material"]["conductivity_w_mk"]
        assert found["r_fill"] == pytest.approx(r_fill)
    assert_answered(record["hold_points"], stand)
    assert_balanced(record, stand, bag_kg)
    assert_photographed(record["photos"], stand)


def standing(entries: list[Any]) -> list[Any]:
    """What stands of a ledger, corrections carried out: the data of each entry, under its id."""
    data = {each["id"]: {**each, **each["data"]} for each in entries}
    for each in entries:
        if each["kind"] == "correction":
            wrong, right = data.pop(each["data"]["entry"]), data.pop(each["id"]).get("replacement")
            if right:
                data[each["id"]] = {**wrong, **right, "id": each["id"]}
    return list(data.values())


def of(said: list[Any], *kinds: str) -> list[Any]:
    """The entries of these kinds."""
    return [each for each in said if each["kind"] in kinds]


def assert_agreed(supplements: list[Any], issued_at: str) -> None:
    """The one supplement, as the client accepted it, and nothing of what it cost or who accepted it."""
    (named,) = supplements
    assert named["accepted_at"] < issued_at
    assert named["number"].endswith("-S1")
    said = {"state": "accepted", "agreed": True, "parts": ["Niche"], "dropped": [], "taken_over": None}
    assert {name: named[name] for name in said} == said
    assert set(named) == {*said, "number", "accepted_at"}


def mean_bag_kg(record: Any) -> float:
    """A bag's label is a minimum: what it holds by the firm's own figure."""
    over = record["practice"]["uncertainties"]["weighing"]["bag_over_label_rel"]
    return float(record["material"]["bag_kg"] * (1 + over))


def emptied_kg(each: Any, bag_kg: float) -> float:
    """What an entry says was emptied."""
    return float(each["mass_kg"] if "mass_kg" in each else each["bags"] * bag_kg)


def filled(stand: list[Any], label: str, bag_kg: float) -> float:
    """What was emptied for a part, less its share of what was vacuumed up on each day, by the kilograms."""
    net_kg = 0.0
    for spill in of(stand, "reclaimed"):
        day = spill["happened_at"][:10]
        of_day = [each for each in of(stand, "tally", "fill") if each["happened_at"][:10] == day]
        all_kg = sum(emptied_kg(each, bag_kg) for each in of_day)
        part_kg = sum(emptied_kg(each, bag_kg) for each in of_day if each["cavity"] == label)
        net_kg += part_kg - spill["mass_kg"] * part_kg / all_kg
    return net_kg


def assert_filled(found: Any, mass_kg: float) -> None:
    """A part's mass is what was told, to the gram: the machine was run empty after each part."""
    assert found["mass_kg"] == pytest.approx(mass_kg, abs=0.001)
    assert sum(each["mass_kg"] for each in found["compartments"]) == pytest.approx(mass_kg, abs=0.001)


def assert_sampled(found: Any, said: list[Any], depth_mm: float, practice: Any) -> None:
    """The samples are the cores that were told, each with its density, its feel and its hand.

    A core counts until its bay is filled again, and what was too loose is not hidden.
    """
    core_m3 = pi / 4 * practice["sampling"]["core_diameter_mm"] ** 2 * depth_mm / 1e9
    again = {each["bay"]: each["happened_at"] for each in of(said, "fill") if each.get("bay")}
    told = {
        each["id"]: {
            **{name: each[name] for name in ("bay", "feel", "by", "happened_at")},
            "density_kg_m3": pytest.approx(each["mass_g"] / 1000 / core_m3),
            "superseded": each["happened_at"] < again.get(each["bay"], ""),
        }
        for each in of(said, "core")
    }
    samples = {each["entry"]: each for space in found["compartments"] for each in space["samples"]}
    assert {entry: {name: each[name] for name in told[entry]} for entry, each in samples.items()} == told


def patch(told: Any, *, stated: bool) -> dict[str, Any]:
    """A patch that an entry tells of, put on as it was planned: nobody said otherwise."""
    unsaid = dict.fromkeys(("width_mm", "height_mm", "tape"))
    said = {"by": told["by"], "happened_at": told["happened_at"], "stated": stated, "photos": []}
    return {**unsaid, **said, "wiped": True, "pressed_on": True}


def hole_of(core: Any, diameter_mm: float) -> dict[str, Any]:
    """The hole of a core, which closed it itself."""
    unsaid = dict.fromkeys(("number", "tag", "x_m", "height_m"))
    told = {name: core[name] for name in ("cavity", "bay", "by", "happened_at")}
    size = {"width_mm": diameter_mm, "height_mm": diameter_mm}
    made = {"entry": core["id"], "purpose": "sample", "photos": [], "patch": patch(core, stated=False)}
    return {**unsaid, **told, **size, **made}


def assert_holes(holes: Any, said: list[Any], planned: int, diameter_mm: float) -> None:
    """Holes are "as planned, stated by": none is claimed singly but those of cores, and none is open."""
    (tally,) = of(said, "tally")
    cores = of(said, "core")
    assert tally["holes"] == "as_planned"
    assert (holes["as_planned"], holes["stated_by"]) == (True, tally["by"])
    assert holes["stated_at"] == tally["happened_at"]
    assert (holes["planned"], holes["stated"], holes["made"]) == (planned, planned, planned)
    assert (holes["others"], holes["closed"], holes["open_added"]) == (len(cores), planned + len(cores), 0)
    unlike = ("added", "omitted", "open", "strays", "unaccounted", "contradicted", "unreached")
    assert [holes[name] for name in unlike] == [[]] * len(unlike)
    assert holes["patch"] == patch(tally, stated=True)
    apart = [{"number": each["number"], "patch": patch(each, stated=False)} for each in of(said, "patch")]
    assert holes["closed_apart"] == apart
    assert holes["singles"] == [hole_of(each, diameter_mm) for each in cores]


def assert_found(found: Any, said: list[Any], surveyed: Any) -> None:
    """A depth is the one that was measured, and a full bay stands apart."""
    (depth_mm,) = [each["depth_mm"] for each in of(said, "found") if each.get("depth_mm")]
    assert (found["depth_measured"], [found["depth_mm"]]) == (True, depth_mm)
    assert found["quoted_depth_mm"] == phone_days.depth_mm(surveyed)
    apart = [(each["bay"], each["state"]) for each in of(said, "found") if each.get("state")]
    assert [(each["bay"], each["state"]) for each in found["apart"]] == apart


def assert_answered(points: list[Any], stand: list[Any]) -> None:
    """Each point has the last answer that was given to it, its reading, who gave it and when."""
    told: dict[Any, list[Any]] = {}
    for each in of(stand, "check", "checks"):
        for point in each.get("points", [each]):
            said = (point["answer"], each.get("reading"), each["by"], each["happened_at"])
            told.setdefault((point["code"], each.get("cavity")), []).append(said)
    assert points
    for point in points:
        answers = told.get((point["code"], point["cavity"])) or told[point["code"], None]
        assert tuple(point[name] for name in ("answer", "reading", "by", "happened_at")) == answers[-1]
        let_begin = next(each for each in answers if each[0] != "stopped")
        assert (point["first_answered_at"], point["late"]) == (let_begin[-1], False)
        assert (point["remark"], point["photos"]) == (None, [])
    assert {point["answer"] for point in points} == {"clear"}
    assert [len(answers) for answers in told.values() if answers[0][0] == "stopped"] == [2]


def assert_balanced(record: Any, stand: list[Any], bag_kg: float) -> None:
    """Bags that came, were emptied and left, and what was vacuumed up, are those that were told."""
    came = sum(each.get("bags") or 0 for each in of(stand, "delivery"))
    left = sum(each.get("left_over") or 0 for each in of(stand, "delivery"))
    all_kg = sum(emptied_kg(each, bag_kg) for each in of(stand, "tally", "fill"))
    (stock,) = record["stock"]
    assert (stock["delivered_bags"], stock["left_over_bags"]) == (came, pytest.approx(left))
    assert (stock["emptied_kg"], stock["reconciled"]) == (pytest.approx(all_kg), True)
    assert (stock["delivered_kg"], stock["left_over_kg"]) == pytest.approx((came * bag_kg, left * bag_kg))
    assert (stock["returned_bags"], stock["returned_kg"], stock["blown_again_kg"]) == (0, 0, 0)
    where = {name: record["whereabouts"][name] for name in ("emptied_kg", "vacuumed_up_kg", "in_walls_kg")}
    assert where == pytest.approx({"emptied_kg": all_kg, "vacuumed_up_kg": 9, "in_walls_kg": all_kg - 9})
    assert (record["whereabouts"]["taken_out_kg"], record["air_tests"]) == (0, [])
    assert record["whereabouts"]["in_machine_kg"] == pytest.approx(0, abs=1e-6)


def assert_photographed(photos: list[Any], stand: list[Any]) -> None:
    """The label's photo by its entry, and the one with words of its own, each of when it was taken."""
    (label,) = [photo for each in of(stand, "delivery") for photo in each.get("photos", [])]
    of_entry, with_words = photos
    names = ("cavity", "caption", "taken_at", "width_px", "place_sha256")
    assert of_entry["id"] == label
    assert [of_entry[name] for name in names] == [None, None, "2026-11-26T08:00:00Z", 800, None]
    (patch,) = of(stand, "patch")
    assert [with_words[name] for name in names] == ["WG-E", "Hole 3, closed", patch["happened_at"], 800, None]
