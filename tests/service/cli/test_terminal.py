"""What cannot be read is asked for again, in the language of who answers."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
from click.testing import CliRunner

from service.cli.terminal import Terminal
from service.engine.ground.messages import message


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


def test_a_file_that_is_not_there_is_asked_for_again(tmp_path: Path) -> None:
    photo = tmp_path / "a photo.jpg"
    photo.write_bytes(b"x")
    files, printed = answered(
        lambda terminal: terminal.files(message("tally.photos")), "/no/such.jpg", f"'{photo}'"
    )
    assert files == [photo]
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
