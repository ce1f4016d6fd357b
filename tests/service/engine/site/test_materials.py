from service.engine.site.materials import Materials, lots_in, materials_of, not_offered
from tests import site


def of(*entries) -> Materials:
    return materials_of(ledger=site.ledger(*entries), offered="CF-STD")


def test_a_lot_has_the_material_that_its_delivery_names_else_the_offered() -> None:
    found = of(
        site.delivery(bags=20, lot="A", material="CF-STD"),
        site.delivery(bags=20, lot="B", material="CF-FINE"),
        site.delivery(bags=20, lot="C"),
    )
    assert [found.of(lot) for lot in ("A", "B", "C")] == ["CF-STD", "CF-FINE", "CF-STD"]
    assert found.several


def test_where_several_came_nobody_knows_what_a_bag_without_its_lot_is() -> None:
    standard = site.delivery(bags=20, lot="A")
    assert of().of(None) == of(standard).of(None) == of(standard).of("unheard of") == "CF-STD"
    assert of(standard, site.delivery(bags=1, lot="B", material="CF-FINE")).of(None) is None


def test_what_was_left_over_brings_no_material() -> None:
    assert not of(site.delivery(bags=20, lot="A"), site.delivery(material="CF-FINE", left_over=0)).several


def test_all_of_a_job_may_be_of_another_material() -> None:
    found = of(site.delivery(bags=20, material="CF-FINE"))
    assert not_offered(fills=(site.fill(bags=3),), materials=found) == {"CF-FINE": ("W1",)}


def test_the_lots_in_a_part_are_those_that_were_emptied_into_it_else_any_of_the_material() -> None:
    came = (
        site.delivery(bags=20, lot="A", material="CF-STD"),
        site.delivery(bags=20, lot="B", material="CF-FINE"),
        site.delivery(bags=20, lot="C"),
    )

    def lots(*fills) -> tuple[str, ...]:
        return lots_in(parts={"W1"}, ledger=site.ledger(*came, *fills), offered="CF-STD")

    assert lots(site.fill(bags=3, lot="C"), site.fill("W2", bags=3, lot="A")) == ("C",)
    assert lots(site.fill(bags=3, lot="C"), site.fill(bags=3)) == ("A", "C")
    assert lots(site.fill(bags=3, lot="D")) == ("D",)
    assert lots() == ()
