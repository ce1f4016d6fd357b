"""The language that the surroundings of a command speak."""

import os

ENGLISH, GERMAN = "en", "de"


def spoken() -> str:
    """The language of the surroundings, as far as it is one of ours: LC_ALL, LC_MESSAGES, LANG in turn."""
    said = os.environ.get("LC_ALL") or os.environ.get("LC_MESSAGES") or os.environ.get("LANG") or ""
    return GERMAN if said.lower().startswith(GERMAN) else ENGLISH
