"""Questions on the terminal, in the language of who answers; an empty answer is none."""

import shlex
from collections.abc import Collection, Mapping
from datetime import datetime
from pathlib import Path

import click

from service.documents.wording.formats import Units
from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message, message

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
        typed: str = click.prompt(self._words(question))
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

    def number(self, question: Message) -> float | None:
        """A number, or None where nothing is typed."""
        while True:
            typed = (self.line(question) or "").replace(",", ".")
            try:
                return float(typed) if typed else None
            except ValueError:
                self.say(message("tally.no_number"))

    def size(self, question: Message, part: str, value: float) -> float | None:
        """A size, or that of another part by the sign for it; None where nothing is typed."""
        told = f"{self._words(question)} {self._words(message('tally.or_the_same', part=part, value=value))}"
        while True:
            typed = click.prompt(told, default="", show_default=False).strip().replace(",", ".")
            try:
                return value if typed == "=" else float(typed) if typed else None
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
        while True:
            try:
                return [float(each.replace(",", ".")) for each in (self.line(question) or "").split()]
            except ValueError:
                self.say(message("tally.no_number"))

    def files(self, question: Message) -> list[Path]:
        """Files by their paths; one that is not there is asked for again."""
        while True:
            paths = [Path(each).expanduser() for each in shlex.split(self.line(question) or "")]
            gone = [path for path in paths if not path.is_file()]
            if not gone:
                return paths
            self.say(message("tally.no_file", path=str(gone[0])))

    def moment(self, day: str, question: Message) -> datetime:
        """A moment of a day by this machine's clock, with its offset."""
        while True:
            try:
                return datetime.fromisoformat(f"{day}T{self.text(question)}:00").astimezone()
            except ValueError:
                self.say(message("tally.no_moment"))

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

    def _letter(self, question: str, letters: str, *, empty: bool) -> str:
        while True:
            typed = click.prompt(f"{question} [{'/'.join(letters)}]", default="", show_default=False)
            letter = typed.strip().lower()[:1]
            if letter in letters and (letter or empty):
                return letter
