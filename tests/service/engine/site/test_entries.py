"""What every kind of entry declares."""

import pytest

from service.engine.ground.shapes import Range, described
from service.engine.site.entries import KINDS, Correction, Fill
from service.engine.site.entry import Entry


@pytest.mark.parametrize("kind", [*KINDS.values(), Correction], ids=lambda kind: kind.__name__)
def test_every_field_says_what_it_means(kind: type[Entry]) -> None:
    for name, hint in described(kind).items():
        told = getattr(hint, "__metadata__", ())
        assert any(isinstance(each, str) for each in told), name


def test_what_has_to_be_measured_is_never_filled_in() -> None:
    """Bags, masses, depths and readings have no default but "nobody said it"."""
    fields = Fill.__dataclass_fields__
    assert {fields[name].default for name in ("bags", "mass_kg", "hopper_kg", "bulge_mm", "bay")} == {None}


def test_ranges_are_declared_with_the_fields() -> None:
    assert Range(0, 500) in described(Fill)["bulge_mm"].__metadata__
