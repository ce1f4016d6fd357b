"""What a crew cannot start without, and whom to call."""

from uuid import UUID

from service.documents.wording.sentences import in_words
from service.usecases.work.before_start import before_start

ONE, TWO = UUID(int=1), UUID(int=2)
CALL = "+00 1"


def told(undeclared: list[str], assigned: list[tuple[UUID, str]], linked: set[UUID]) -> list[tuple[str, str]]:
    found = before_start(
        summary={"undeclared": [{"pointer": each} for each in undeclared]},
        assigned=assigned,
        linked=linked,
        call=CALL,
    )
    assert {each.call for each in found} <= {CALL}
    return [(each.what, in_words(each.detail)) for each in found]


def test_nothing_is_missing_where_all_is_there() -> None:
    assert told([], [(ONE, "North")], {ONE}) == []


def test_each_thing_that_is_missing_is_named() -> None:
    assert told(["/sampling", "/decision"], [], set()) == [
        ("figures", "Figures that a certificate rests on are declared by nobody: /sampling, /decision."),
        ("assignment", "No crew is assigned to the job on any day."),
    ]
    assert told([], [(ONE, "North"), (TWO, "South"), (TWO, "South")], {ONE}) == [
        ("link", "Without a link in force: South.")
    ]
