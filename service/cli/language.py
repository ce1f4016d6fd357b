"""The language that the surroundings of a command speak."""

import os

from service.engine.ground.vocabulary import LANGUAGES


def spoken() -> str:
    """The language of the surroundings, where it is one of ours: LC_ALL, LC_MESSAGES, LANG in turn."""
    said = os.environ.get("LC_ALL") or os.environ.get("LC_MESSAGES") or os.environ.get("LANG") or ""
    return said[:2].lower() if said[:2].lower() in LANGUAGES else LANGUAGES[0]
