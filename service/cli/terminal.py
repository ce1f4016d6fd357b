"""Questions on the terminal, in the language of who answers; an empty answer is none."""

import math
import shlex
from collections.abc import Callable, Collection, Mapping
from datetime import datetime
from pathlib import Path
from typing import TypeVar

import click

from service.documents.wording.formats import Units
from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message, message
from service.usecases.work.images import kind_of

T = TypeVar("T")
ANSWERS = ("clear", "dealt_with", "not_applicable", "stopped")


class Terminal:
    """Asks in one language; what cannot be read is asked for again."""

    def __init__(self, language: str) -> None:
        self.language, self._units = language, Units("eu", language)

    def say(self, said: Message) -> None:
        """A line that asks for nothing."""
        click.echo(self._words(said))

    def text(self, question: Message) -> str:
        """What has to be typed."""
        typed = ""
        while not typed:
            typed = click.prompt(self._words(question)).strip()
        return typed

    def line(self, question: Message) -> str | None:
        """What may be typed."""
        return click.prompt(self._words(question), default="", show_default=False).strip() or None

    def yes(self, question: Message) -> bool:
        """Yes or no: nothing is taken for granted."""
        letters = self._words(message("tally.yes_or_no"))
        return self._letter(self._words(question), letters, empty=False) == letters[0]

    def answer(self, question: str) -> str | None:
        """The answer to a hold point, by its letter; none for an empty one."""
        letters = self._words(message("tally.answer_letters"))
        told = f"{question}\n  {self._words(message('tally.answers'))}"
        letter = self._letter(told, letters, empty=True)
        return ANSWERS[letters.index(letter)] if letter else None

    def firm(self, question: Message) -> str:
        """How a sample felt."""
        letters = self._words(message("tally.feel_letters"))
        return ("firm", "gives_way")[letters.index(self._letter(self._words(question), letters, empty=False))]

    def number(self, question: Message, *, signed: bool = False) -> float | None:
        """A number, not below nought unless it is `signed`, or None where nothing is typed."""
        return self._read(question, lambda typed: _number(typed, signed=signed), "tally.no_number")

    def count(self, question: Message) -> int | None:
        """A whole number, or None where nothing is typed."""
        return self._read(question, _count, "tally.no_count")

    def size(self, question: Message, part: str, value: float) -> float | None:
        """A size, or that of another part by the sign for it; None where nothing is typed."""
        told = f"{self._words(question)} {self._words(message('tally.or_the_same', part=part, value=value))}"
        while True:
            typed = click.prompt(told, default="", show_default=False).strip()
            try:
                return value if typed == "=" else _number(typed) if typed else None
            except ValueError:
                self.say(message("tally.no_number"))

    def one_of(self, question: Message, known: Collection[str]) -> str | None:
        """One of these names, or None where nothing is typed."""
        while typed := self.line(question):
            if typed in known:
                return typed
            self.say(message("tally.not_one_of", names=tuple(known)))
        return None

    def letter(self, question: Message, letters: Message) -> int:
        """Which of these letters, by its place among them."""
        told = self._words(letters)
        return told.index(self._letter(self._words(question), told, empty=False))

    def numbers(self, question: Message) -> list[float]:
        """Numbers with spaces between them."""
        return self._read(question, lambda typed: list(map(_number, typed.split())), "tally.no_number") or []

    def counts(self, question: Message) -> list[int]:
        """Whole numbers with spaces between them."""
        return self._read(question, lambda typed: list(map(_count, typed.split())), "tally.no_count") or []

    def photos(self, question: Message) -> list[Path]:
        """Photos by their paths; one that is not there, or is none, is asked for again."""
        while True:
            paths = _paths(self.line(question) or "")
            wrong = next(filter(None, map(_wrong_photo, paths)), None)
            if not wrong:
                return paths
            self.say(wrong)

    def moment(self, day: str, question: Message, *, after: datetime | None = None) -> datetime:
        """A moment of a day by this machine's clock, with its offset; later than `after`."""
        while True:
            try:
                moment = datetime.fromisoformat(f"{day}T{self.text(question)}:00").astimezone()
            except ValueError:
                self.say(message("tally.no_moment"))
                continue
            if after is None or moment > after:
                return moment
            self.say(message("tally.not_after"))

    def day(self, question: Message) -> str:
        """A day as it is written in ISO 8601."""
        while True:
            typed = self.text(question)
            try:
                return datetime.fromisoformat(typed).date().isoformat()
            except ValueError:
                self.say(message("tally.no_moment"))

    def theirs(self, texts: Mapping[str, str]) -> str:
        """What the firm wrote, in this language where it has it."""
        return texts.get(self.language) or next(iter(texts.values()))

    def _words(self, said: Message) -> str:
        return in_words(said, self._units)

    def _read(self, question: Message, read: Callable[[str], T], refused: str) -> T | None:
        while True:
            typed = self.line(question)
            try:
                return read(typed) if typed else None
            except ValueError:
                self.say(message(refused))

    def _letter(self, question: str, letters: str, *, empty: bool) -> str:
        """One of these letters alone: a word may begin with one and mean another."""
        while True:
            typed = click.prompt(f"{question} [{'/'.join(letters)}]", default="", show_default=False)
            letter: str = typed.strip().lower()
            if letter in tuple(letters) or (empty and not letter):
                return letter
            self.say(message("tally.not_one_of", names=tuple(letters)))


def _number(typed: str, *, signed: bool = False) -> float:
    """A number as people type it; raises ValueError for what nothing can measure, too."""
    value = float(typed.replace(",", "."))
    if not math.isfinite(value) or (value < 0 and not signed):
        raise ValueError
    return value


def _count(typed: str) -> int:
    """A whole number; raises ValueError: a part of one is not left off."""
    value = _number(typed)
    if not value.is_integer():
        raise ValueError
    return int(value)


def _paths(typed: str) -> list[Path]:
    """Paths as a shell takes them; with a quotation mark that none closes, all of it is one."""
    try:
        words = shlex.split(typed)
    except ValueError:
        words = [typed]
    return [Path(each).expanduser() for each in words]


def _wrong_photo(path: Path) -> Message | None:
    if not path.is_file():
        return message("tally.no_file", path=str(path))
    return None if kind_of(path.read_bytes()) else message("tally.no_photo", path=str(path))
