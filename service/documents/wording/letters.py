"""The letters that a document can print.

The packaged text font has Latin, Greek and Cyrillic. Whatever a stranger's text has
besides (other scripts, pictures, control characters, marks that turn the direction of
writing round) is printed by its code point: visible, the same on every machine, and
unable to spoil the file. The record that a certificate carries has the text as it is.
"""

from functools import cache
from importlib.resources import as_file, files

from fontTools.ttLib import TTFont

SPACES = frozenset("\t\n\r")


@cache
def _known() -> frozenset[str]:
    with as_file(files("service.documents") / "assets" / "fonts" / "SourceSans3-Regular.ttf") as path:
        return frozenset(map(chr, TTFont(path, lazy=True).getBestCmap())) | SPACES


def legible(text: str) -> str:
    """The text with each letter that the font lacks as its code point, such as [U+1F3E0]."""
    strange = set(text) - _known()
    return text if not strange else "".join(f"[U+{ord(c):04X}]" if c in strange else c for c in text)
