"""What the fields of one entry must have in common, whatever job it is of."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Purpose
from service.engine.site.emptied import says_mass
from service.engine.site.entries import (
    AirTest,
    Delivery,
    Emptied,
    Fill,
    Found,
    Hole,
    Note,
    Patch,
    Reclaimed,
    Tally,
)
from service.engine.site.entry import Entry
from service.errors import Fault


def shape_faults(entry: Entry) -> Iterator[Fault]:
    """Fields that are missing beside others, or that cannot stand together."""
    for kind, rule in RULES.items():
        if isinstance(entry, kind):
            yield from rule(entry)


def _emptied(entry: Emptied) -> Iterator[Fault]:
    if entry.bags is not None and entry.mass_kg is not None:
        yield Fault("/mass_kg", message("site.bags_and_mass"))
    if entry.run_empty and entry.hopper_kg:
        yield Fault("/hopper_kg", message("site.hopper_of_empty_machine"))


def _fill(fill: Fill) -> Iterator[Fault]:
    if not says_mass(fill):
        yield Fault("/mass_kg", message("site.bags_or_mass"))
    if fill.from_spill and fill.mass_kg is None:
        yield Fault("/mass_kg", message("site.spill_by_weight"))
    if fill.last_bay is not None and fill.bay is not None:
        yield Fault("/last_bay", message("site.last_of_one_bay"))


def _tally(tally: Tally) -> Iterator[Fault]:
    if tally.bags_are is not None and not says_mass(tally):
        yield Fault("/bags_are", message("site.bags_are_of_nothing"))


def _hole(hole: Hole) -> Iterator[Fault]:
    yield from _named(hole)
    if hole.number is not None and hole.purpose is not Purpose.ENTRY:
        yield Fault("/purpose", message("site.numbered_is_entry"))
    for name in ("width_mm", "height_mm"):
        if hole.number is None and getattr(hole, name) is None:
            yield Fault(f"/{name}", message("site.size_of_tagged"))


def _named(entry: Hole | Patch) -> Iterator[Fault]:
    if (entry.number is None) == (entry.tag is None):
        yield Fault("/number", message("site.number_or_tag"))


def _found(found: Found) -> Iterator[Fault]:
    sizes = (found.depth_mm, found.members, found.members_at_m, found.member_mm)
    if found.state is None and not any(sizes):
        yield Fault("/depth_mm", message("site.found_nothing"))
    if (found.bay is None) != (found.state is None):
        yield Fault("/state" if found.state is None else "/bay", message("site.bay_and_state"))
    if found.layer is not None and not any(sizes):
        yield Fault("/layer", message("site.layer_of_nothing"))
    if found.members is not None and found.members_at_m:
        yield Fault("/members_at_m", message("site.members_twice"))
    if list(found.members_at_m) != sorted(set(found.members_at_m)):
        yield Fault("/members_at_m", message("site.members_in_order"))


def _delivery(delivery: Delivery) -> Iterator[Fault]:
    if delivery.bags is not None and delivery.mass_kg is not None:
        yield Fault("/mass_kg", message("site.bags_and_mass"))
    if delivery.mass_kg is not None and delivery.from_job is None:
        yield Fault("/mass_kg", message("site.delivered_by_weight"))
    told = (delivery.bags, delivery.mass_kg, delivery.returned, delivery.left_over)
    if all(each is None for each in told):
        yield Fault("/bags", message("site.delivered_nothing"))


def _reclaimed(reclaimed: Reclaimed) -> Iterator[Fault]:
    if (reclaimed.bags is None) == (reclaimed.mass_kg is None):
        yield Fault("/mass_kg", message("site.bags_or_mass"))


def _air_test(test: AirTest) -> Iterator[Fault]:
    if test.n50_per_h is None and test.q50_m3_h_m2 is None:
        yield Fault("/n50_per_h", message("site.air_test_without_result"))


def _note(note: Note) -> Iterator[Fault]:
    if note.remark is None:
        yield Fault("/remark", message("site.note_of_nothing"))


RULES: Mapping[type[Any], Callable[[Any], Iterator[Fault]]] = {
    Emptied: _emptied,
    Fill: _fill,
    Tally: _tally,
    Hole: _hole,
    Patch: _named,
    Found: _found,
    Delivery: _delivery,
    Reclaimed: _reclaimed,
    AirTest: _air_test,
    Note: _note,
}
