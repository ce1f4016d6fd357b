"""Every word of the engine's vocabulary has its wording in the documents."""

from enum import StrEnum

import pytest

from service.documents.pdf.render import ENVIRONMENT
from service.documents.wording.formats import Units
from service.engine.ground import vocabulary as v


def wording(name: str) -> dict[str, str]:
    module = ENVIRONMENT.get_template("words.html").make_module({"market": "eu", "u": Units("eu")})
    words: dict[str, str] = getattr(module, name)
    return words


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("ELEMENT", v.Element),
        ("FACING", v.Facing),
        ("METHOD", v.Method),
        ("FEEL", v.Feel),
        ("ANSWER", v.Answer),
        ("VERDICT", v.Verdict),
        ("MARK", v.Verdict),
        ("CONDITION", v.ConditionCode),
    ],
)
def test_every_member_has_its_wording(name: str, kind: type[StrEnum]) -> None:
    assert set(wording(name)) == {member.value for member in kind}


@pytest.mark.parametrize("purpose", v.Purpose)
def test_every_purpose_of_an_opening_is_told_with_its_number(purpose: v.Purpose) -> None:
    module = ENVIRONMENT.get_template("words.html").make_module({"market": "eu", "u": Units("eu")})
    one, many = (str(module.purpose(purpose.value, count)).strip() for count in (1, 12))  # type: ignore[attr-defined]
    assert one.startswith("1 ")
    assert many.startswith("12 ")
    assert one[2:] != many[3:]
