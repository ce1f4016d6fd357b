"""The language that the surroundings of a command speak."""

import os
from collections.abc import Callable
from typing import Any

import click

from service.engine.ground.vocabulary import LANGUAGES


def spoken() -> str:
    """The language of the surroundings, where it is one of ours: LC_ALL, LC_MESSAGES, LANG in turn."""
    said = os.environ.get("LC_ALL") or os.environ.get("LC_MESSAGES") or os.environ.get("LANG") or ""
    return said[:2].lower() if said[:2].lower() in LANGUAGES else LANGUAGES[0]


def option(meaning: str) -> Callable[[Any], Any]:
    """The option for the language of a command, in which its refusals are said too (`main.Commands`)."""

    def keep(context: click.Context, _option: click.Parameter, language: str) -> str:
        context.find_root().obj = language
        return language

    return click.option(
        "--language", type=click.Choice(LANGUAGES), default=spoken, callback=keep, help=meaning
    )
