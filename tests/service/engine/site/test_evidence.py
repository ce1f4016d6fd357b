import pytest

from service.engine.ground.uncertainty import Scatter
from service.engine.ground.vocabulary import BagsAre, BayState, Element
from service.engine.site.as_found import as_found
from service.engine.site.evidence import basis_of, gathered, scatter
from service.engine.site.said import said
from tests import builders, site
from tests.evidence import practice

WALLS = tuple(site.planned(builders.wall(label=label)) for label in ("W1", "W2"))
FIRM = practice(between_bays_u_kg_m3=3.0)


def of(*entries, cavities=WALLS):
    ledger = site.ledger(*entries)
    basis = basis_of(ledger=ledger, material=builders.material(), practice=FIRM)
    return gathered(cavities=cavities, said=said(ledger=ledger), basis=basis), basis


def test_kilograms_in_the_walls_are_those_blown_less_spill_and_what_was_taken_out() -> None:
    found, _ = of(
        site.fill("W1", 10, mass_kg=400, run_empty=True),
        site.fill("W2", 90, mass_kg=600, run_empty=True),
        site.fill("W2", 95, bay=2, mass_kg=0.0, removed_kg=7),
        site.reclaimed(10, minute=100),
    )
    (one,), (other,) = (found.of_cavity[label] for label in ("W1", "W2"))
    assert one.mass
    assert other.mass
    assert (one.mass.value, other.mass.value) == pytest.approx((400 - 4, 600 - 6 - 7))
    assert found.blown.value == pytest.approx(1000)
    assert found.in_walls.value == pytest.approx(1000 - 10 - 7)


def test_a_total_takes_the_place_of_the_fills_before_it() -> None:
    found, _ = of(
        site.fill("W1", 10, bags=3),
        site.tally("W1", 60, bags=20, bags_are=BagsAre.TOTAL, run_empty=True),
        site.delivery(90, left_over=0),
    )
    assert found.in_walls.value == pytest.approx(20 * 12.5)


def test_a_sample_from_before_a_bay_was_packed_again_does_not_come_back_with_the_total() -> None:
    """Too loose, packed again, sampled again, and the tally gives the part's total."""
    found, _ = of(
        site.fill("W1", 10, bay=3, bags=30),
        site.core(50, "W1", 3, minute=20),
        site.fill("W1", 30, bay=3, bags=1),
        site.core(73, "W1", 3, minute=40),
        site.tally("W1", 60, bags=31, bags_are=BagsAre.TOTAL),
    )
    (space,) = found.of_cavity["W1"]
    assert [each.superseded for each in space.samples] == [True, False]
    assert space.mass
    assert space.mass.value == pytest.approx(31 * 12.5 - 12.5 / 2)


def test_a_cavity_without_a_word_has_no_mass() -> None:
    found, _ = of(site.fill("W1", 10, bags=3))
    assert found.of_cavity["W2"][0].mass is None


def test_what_went_into_a_bay_before_it_was_found_blocked_is_in_no_other_bay() -> None:
    """It is in the wall, and neither in the machine nor in the density of its neighbours."""
    stud = site.planned(builders.stud_wall())
    fills = [site.fill("W2", bay, bay=bay, mass_kg=10, run_empty=True) for bay in range(1, 11)]
    blocked = site.found("W2", minute=20, bay=4, state=BayState.BLOCKED)
    together = site.fill("W2", 60, mass_kg=1, run_empty=True)
    for entries, kg in ((fills, 90), ([*fills, together], 91)):
        found = site.assessed(stud, entries=[*entries, blocked])
        assert found.cavities[0].mass_kg == pytest.approx(kg)
        assert found.mass_kg == pytest.approx(kg + 10)
        assert found.whereabouts.in_machine_kg == pytest.approx(0)


def test_spill_of_a_day_is_of_all_that_was_blown_then_whatever_a_total_says_later() -> None:
    """On Monday 100 kg each: W1's are said anew in a total of Tuesday, and spilt as much as those of W2."""
    tuesday = {"happened_at": "2026-11-24T16:00:00Z", "run_empty": True}
    found, _ = of(
        site.fill("W1", 10, mass_kg=100, run_empty=True),
        site.fill("W2", 60, mass_kg=100, run_empty=True),
        site.reclaimed(10, minute=100),
        site.tally("W1", mass_kg=300, bags_are=BagsAre.TOTAL, **tuesday),
        site.fill("W2", mass_kg=100, **tuesday),
        site.reclaimed(9, happened_at="2026-11-24T17:00:00Z"),
    )
    masses = [found.of_cavity[label][0].mass.value for label in ("W1", "W2")]
    assert masses == pytest.approx([300 - 5 - 6, 200 - 5 - 3])


def test_a_total_that_says_no_more_makes_no_day_of_its_own() -> None:
    """All was blown on Monday; on Tuesday morning the part is told to be done, and its spill is swept."""
    tuesday = "2026-11-24T07:00:00Z"
    found, _ = of(
        site.fill("W1", 10, mass_kg=300, run_empty=True),
        site.fill("W2", 60, mass_kg=100, run_empty=True),
        site.tally("W1", mass_kg=300, bags_are=BagsAre.TOTAL, happened_at=tuesday, run_empty=True),
        site.reclaimed(8, happened_at=tuesday),
    )
    masses = [found.of_cavity[label][0].mass.value for label in ("W1", "W2")]
    assert masses == pytest.approx([300 - 6, 100 - 2])


def test_samples_of_one_bay_are_one_density() -> None:
    found, _ = of(site.core(70, bay=3), site.core(74, bay=3, minute=70), site.core(73, bay=9))
    bays = found.of_cavity["W1"][0].bays
    assert list(bays) == [3, 9]
    assert bays[3].value == pytest.approx(72 / 73 * bays[9].value, rel=1e-4)


def test_scatter_is_pooled_over_one_kind_of_element() -> None:
    floor = site.planned(builders.floor(dividers=False))
    found, basis = of(
        *(site.core(mass, "W1", bay) for bay, mass in ((3, 72), (9, 74), (15, 73))),
        *(site.core(mass, "W2", bay) for bay, mass in ((3, 71), (9, 75), (15, 73))),
        cavities=(*WALLS, floor),
    )
    evidence = [each for of_cavity in found.of_cavity.values() for each in of_cavity]
    scatters = scatter(evidence=evidence, basis=basis)
    assert scatters[Element.WALL].freedom == 4
    assert scatters[Element.FLOOR] == Scatter(s=3.0)


def test_bags_weighed_at_any_time_are_one_set_of_readings() -> None:
    ledger = site.ledger(site.bag_check(12.6, 12.8), site.bag_check(12.5, 12.7))
    basis = basis_of(ledger=ledger, material=builders.material(), practice=FIRM)
    assert basis.bag(None).mean.value == pytest.approx(12.65)


def test_the_last_bay_is_one_that_took_fill() -> None:
    """Bay 15 was begun last, and was blocked: bay 4 was filled last. A tally that names it says of none."""
    blocked = as_found(
        planned=WALLS[0],
        found=(site.found("W1", 30, bay=15, state=BayState.BLOCKED),),
        material=builders.material(),
        practice=FIRM,
    )
    found, _ = of(
        site.fill("W1", 10, bay=4, bags=3), site.fill("W1", 20, bay=15, bags=1), cavities=(blocked,)
    )
    assert found.of_cavity["W1"][0].last_bay == 4
    told, _ = of(
        site.fill("W1", 10, bay=4, bags=3), site.tally("W1", bags=1, last_bay=15), cavities=(blocked,)
    )
    assert told.of_cavity["W1"][0].last_bay is None


def test_a_total_that_says_no_more_leaves_the_last_bay_to_the_fills() -> None:
    """One that says more tells of fills that nobody noted: the last of these is of any bay."""
    fills = site.fill("W1", 10, bay=4, bags=3), site.fill("W1", 20, bay=7, bags=2)
    out = site.fill("W1", 25, bay=1, mass_kg=0.0, removed_kg=2)
    for told, last in (({"bags": 5}, 7), ({"bags": 5, "last_bay": 9}, 9), ({"bags": 6}, None)):
        found, _ = of(*fills, out, site.tally("W1", 60, bags_are=BagsAre.TOTAL, **told))
        assert found.of_cavity["W1"][0].last_bay == last


def test_the_last_bay_is_named_by_the_last_fill_or_by_the_tally() -> None:
    by_fill, _ = of(site.fill("W1", 10, bay=4, bags=3))
    by_tally, _ = of(site.tally("W1", 10, bags=3, last_bay=7))
    assert by_fill.of_cavity["W1"][0].last_bay == 4
    assert by_tally.of_cavity["W1"][0].last_bay == 7
