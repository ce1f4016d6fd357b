"""Holes as they were made and closed: statements about a part stay statements, single claims stay single."""

from service.engine.ground.vocabulary import Purpose
from service.engine.site.hole_findings import HolesFinding
from service.engine.site.holes_made import holes_findings
from service.engine.site.holes_told import AddedHole, HolesMade, Patched
from tests import builders, site

WALL = site.planned(builders.wall(), holes=6)


def of(*entries, planned=WALL) -> HolesFinding:
    (found,) = holes_findings(cavities=(planned,), ledger=site.ledger(*entries), practice=builders.practice())
    return found


def test_as_planned_is_one_statement_and_no_claim_of_single_holes() -> None:
    found = of(site.tally(bags=30))
    assert (found.planned, found.made, found.stated, found.closed) == (6, 6, 6, 6)
    assert (found.as_planned, found.stated_by, found.singles) == (True, "crew", ())
    assert found.patch is not None
    assert found.patch.stated
    assert not found.is_open


def test_silence_leaves_every_planned_hole_unaccounted() -> None:
    assert of(site.fill(mass_kg=100)).unaccounted == (1, 2, 3, 4, 5, 6)
    assert of(site.tally(bags=30, holes=None, patched=None)).unaccounted == (1, 2, 3, 4, 5, 6)
    assert of().unaccounted == ()


def test_twelve_of_all_the_planned_holes_are_not_all_of_them() -> None:
    """Six of the plan, two recorded and patched by themselves: four are not accounted for."""
    told = [site.hole(None, number=number) for number in (1, 2)]
    closed = [site.patch(None, number=number) for number in (1, 2)]
    found = of(site.fill(mass_kg=100), *told, *closed)
    assert (found.made, found.closed, found.unaccounted) == (2, 2, (3, 4, 5, 6))


def test_all_holes_recorded_one_by_one_need_no_statement() -> None:
    told = [site.hole(None, number=number) for number in range(1, 7)]
    found = of(site.fill(mass_kg=100), *told)
    assert (found.made, found.unaccounted, found.as_planned) == (6, (), False)
    assert (found.closed, found.is_open) == (0, True)


def test_what_was_added_and_omitted_is_counted() -> None:
    holes = HolesMade(added=(AddedHole(bay=3), AddedHole(bay=4)), omitted=(6,))
    found = of(site.tally(bags=30, holes=holes))
    assert (found.made, found.stated, found.omitted, found.as_planned) == (7, 5, (6,), False)
    assert (found.unaccounted, found.open, found.open_added, found.closed) == ((), (), 0, 7)


def test_a_hole_that_was_omitted_and_recorded_is_told() -> None:
    tally = site.tally(bags=30, holes=HolesMade(omitted=(6,)))
    assert of(tally, site.hole(None, number=6)).contradicted == (6,)


def test_all_but_some_are_open_until_each_has_its_patch() -> None:
    tally = site.tally(bags=30, patched=Patched(all_but=(2, 5)))
    assert of(tally).open == (2, 5)
    assert of(tally, site.patch(None, number=2, minute=40)).open == (5,)


def test_a_planned_hole_that_was_closed_by_itself_is_told_with_its_own_patch() -> None:
    """The tally said that it was open: its day and its hand are not that hole's."""
    tally = site.tally(bags=30, patched=Patched(all_but=(2, 5)))
    (apart,) = of(tally, site.patch(None, number=2, minute=40, tape="T")).closed_apart
    assert (apart.number, apart.patch.tape, apart.patch.stated) == (2, "T", False)
    recorded = of(tally, site.hole(None, number=2), site.patch(None, number=2, minute=40))
    assert recorded.closed_apart == ()


def test_holes_without_a_word_of_patches_are_open() -> None:
    found = of(site.tally(bags=30, holes=HolesMade(added=(AddedHole(bay=1),)), patched=None))
    assert (found.open, found.open_added, found.closed) == ((1, 2, 3, 4, 5, 6), 1, 0)


def test_a_sample_brings_its_hole() -> None:
    found = of(site.core(70, patched=None, diameter_mm=None), site.block(500, patched=None))
    assert [(each.purpose, each.width_mm, each.height_mm) for each in found.singles] == [
        (Purpose.SAMPLE, builders.practice().sampling.core_diameter_mm, each_mm)
        if each_mm != 300
        else (Purpose.SAMPLE, 300, 300)
        for each_mm in (builders.practice().sampling.core_diameter_mm, 300)
    ]
    assert (found.others, found.made, found.closed) == (2, 0, 0)


def test_a_tally_closes_what_was_made_before_it_and_a_later_core_closes_itself() -> None:
    before, after = (site.core(70, minute=minute, patched=None) for minute in (20, 40))
    found = of(before, site.tally(bags=30), after)
    assert [each.patch is not None for each in found.singles] == [True, False]
    closed = site.core(70, minute=40, patched=True)
    assert not of(before, site.tally(bags=30), closed).is_open
    alone = of(before, site.tally(bags=30), after, site.patch(after.id, minute=50))
    assert not alone.is_open
    assert alone.strays == ()


def test_a_photograph_of_a_planned_hole_is_no_second_hole() -> None:
    """Two phones record the same number: it is the same hole, with the photos of both."""
    photos = [site.hole(None, number=3, minute=40, photos=(photo,)) for photo in ("p1", "p2")]
    found = of(site.tally(bags=30), *photos)
    assert (found.made, found.stated, found.closed) == (6, 6, 6)
    (single,) = found.singles
    assert (single.photos, single.bay, single.width_mm) == (("p1", "p2"), 3, 65)
    assert single.patch is not None


def test_a_hole_of_its_own_has_the_last_patch_of_its_tag_in_its_part() -> None:
    first, second = site.patch(minute=5, width_mm=100), site.patch(minute=50, width_mm=180)
    elsewhere = site.patch(cavity="B1", minute=60)
    found = of(site.hole(bay=3, purpose=Purpose.SERVICE), second, first, elsewhere)
    (single,) = found.singles
    assert (single.tag, single.bay, single.patch.width_mm, single.patch.stated) == ("P1", 3, 180, False)
    assert (found.made, found.others) == (0, 1)


def test_a_patch_over_nothing_is_not_lost() -> None:
    assert of(site.patch("P7")).strays == ("P7",)
    assert of(site.patch(None, number=2)).strays == ("2",)
    assert of(site.tally(bags=30, patched=None), site.patch(None, number=2)).strays == ()
