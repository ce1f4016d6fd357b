"""Every word of the engine's vocabulary has its wording in the documents."""

from enum import StrEnum

import pytest

from service.documents.render import ENVIRONMENT
from service.engine import vocabulary as v


def wording(name: str) -> dict[str, str]:
    module = ENVIRONMENT.get_template("words.html").make_module({"market": "eu"})
    words: dict[str, str] = getattr(module, name)
    return words


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("ELEMENT", v.Element),
        ("FACING", v.Facing),
        ("METHOD", v.Method),
        ("PURPOSE", v.Purpose),
        ("SHAPE", v.Shape),
        ("FEEL", v.Feel),
        ("ANSWER", v.Answer),
        ("HOW", v.FoundBy),
        ("VERDICT", v.Verdict),
        ("MARK", v.Verdict),
        ("STANDING", v.Standing),
        ("CONDITION", v.ConditionCode),
    ],
)
def test_every_member_has_its_wording(name: str, kind: type[StrEnum]) -> None:
    assert set(wording(name)) == {member.value for member in kind}


def test_what_a_chart_calls_its_readings() -> None:
    assert set(wording("FOUND_BY")) == {member.value for kind in (v.FoundBy, v.Shape) for member in kind}
