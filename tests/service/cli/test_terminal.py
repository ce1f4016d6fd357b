"""What cannot be read is asked for again, in the language of who answers."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
from click.testing import CliRunner

from service.cli.terminal import Terminal
from service.engine.ground.messages import message
from tests.pictures import photo


def answered(ask: Callable[[Terminal], Any], *typed: str, language: str = "en") -> tuple[Any, str]:
    """What a question gave for what was typed, and what was printed."""
    given: list[Any] = []

    @click.command()
    def command() -> None:
        given.append(ask(Terminal(language)))

    done = CliRunner().invoke(command, input="\n".join(typed) + "\n")
    assert done.exit_code == 0, done.output
    return given[0], done.output


def test_an_empty_number_is_none_and_a_word_is_asked_for_again() -> None:
    assert answered(lambda terminal: terminal.number(message("tally.bags")), "")[0] is None
    number, printed = answered(lambda terminal: terminal.number(message("tally.bags")), "many", "20,5")
    assert number == 20.5
    assert "This is no number." in printed


def test_who_did_the_work_has_a_name() -> None:
    assert answered(lambda terminal: terminal.text(message("tally.who")), "  ", " Alex ")[0] == "Alex"


def test_what_nothing_measures_is_no_number() -> None:
    for typed in ("nan", "inf", "-5", "1.200,5"):
        number, printed = answered(lambda terminal: terminal.number(message("tally.bags")), typed, "7")
        assert number == 7
        assert "This is no number." in printed
    reading = message("tally.reading", unit="Celsius")
    assert answered(lambda terminal: terminal.number(reading, signed=True), "-5")[0] == -5


def test_a_part_of_a_whole_number_is_not_left_off() -> None:
    count, printed = answered(lambda terminal: terminal.count(message("tally.last_bay")), "3,7", "3")
    assert count == 3
    assert "This is no whole number." in printed
    assert answered(lambda terminal: terminal.counts(message("tally.omitted")), "2 1,5", "2 1")[0] == [2, 1]


def test_yes_and_no_are_said_in_german_too() -> None:
    def asked(terminal: Terminal) -> bool:
        return terminal.yes(message("tally.as_planned"))

    assert answered(asked, "", "x", "y")[0] is True
    yes, printed = answered(asked, "y", "j", language="de")
    assert yes is True
    assert "Alle Löcher wie geplant gemacht und verschlossen [j/n]" in printed


def test_a_hold_point_is_answered_by_its_letter() -> None:
    for typed, answer in (("c", "clear"), ("D", "dealt_with"), ("n", "not_applicable"), ("s", "stopped")):
        assert answered(lambda terminal: terminal.answer("Dry?"), typed)[0] == answer
    assert answered(lambda terminal: terminal.answer("Dry?"), "x", "")[0] is None
    assert answered(lambda terminal: terminal.answer("Trocken?"), "e", language="de")[0] == "dealt_with"


def test_a_word_is_not_its_first_letter() -> None:
    """Entfällt is no erledigt, trocken does not mean that it does not apply, and neither does no."""
    for typed, language in (("no", "en"), ("entfällt", "de"), ("trocken", "de"), ("stimmt", "de")):
        answer, printed = answered(lambda terminal: terminal.answer("?"), typed, "", language=language)
        assert answer is None
        assert ("One of these: c, d, n" if language == "en" else "Eines von diesen: i, e, t") in printed


def test_a_file_that_is_not_there_is_asked_for_again(tmp_path: Path) -> None:
    taken = tmp_path / "a photo.jpg"
    taken.write_bytes(photo())
    (tmp_path / "notes.jpg").write_text("no photo")
    files, printed = answered(
        lambda terminal: terminal.photos(message("tally.photos")),
        "/no/such.jpg",
        "it's.jpg",
        f"{tmp_path}/notes.jpg",
        f"'{taken}'",
    )
    assert files == [taken]
    assert "There is no file it's.jpg." in printed
    assert "notes.jpg is neither a JPEG nor a PNG image." in printed
    assert "There is no file /no/such.jpg." in printed


def test_a_day_and_a_time_of_day_are_asked_for_until_they_are_some() -> None:
    assert (
        answered(lambda terminal: terminal.day(message("tally.day")), "tomorrow", "2026-11-24")[0]
        == "2026-11-24"
    )
    moment, _ = answered(
        lambda terminal: terminal.moment("2026-11-24", message("tally.began")), "25:00", "07:00"
    )
    assert (moment.hour, moment.tzinfo is not None) == (7, True)


def test_work_ends_after_it_began() -> None:
    def asked(terminal: Terminal) -> Any:
        began = terminal.moment("2026-11-24", message("tally.began"))
        return terminal.moment("2026-11-24", message("tally.ended"), after=began)

    ended, printed = answered(asked, "18:00", "02:00", "23:30")
    assert ended.hour == 23
    assert "told as another day" in printed
