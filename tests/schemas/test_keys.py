"""A key that the office makes has a label and roles."""

from schemas.keys import ROLES, KeyBody, RotationBody
from service.usecases.firm import keys
from tests.pointers import refused, refused_without

BODY = {"label": "Sales system", "roles": ["sales"]}


def test_label_and_roles_are_needed() -> None:
    assert refused_without(KeyBody(), BODY) == {name: {f"/{name}"} for name in BODY}
    assert tuple(ROLES) == keys.ROLES


def test_a_grace_is_no_longer_than_a_month() -> None:
    assert RotationBody().load({}) == {"grace_hours": 0}
    assert refused(RotationBody(), {"grace_hours": 721}) == {"/grace_hours"}
