from service.engine.site.holes_told import AddedHole, HolesMade


def test_holes_are_as_planned_where_nothing_was_added_or_omitted() -> None:
    assert HolesMade().as_planned
    assert not HolesMade(omitted=(3,)).as_planned
    assert not HolesMade(added=(AddedHole(bay=1),)).as_planned
