"""The words by which a quote is found: whole words, in whatever case they are typed."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from service.store.terms import Term

LONGEST = 80


def terms_of(
    reference: str, client: Mapping[str, Any], address: str, cavities: Iterable[Mapping[str, Any]]
) -> Iterator[Term]:
    """What a posted quote is found by: reference and labels as they stand, client and place by each word."""
    yield "reference", folded(reference)
    for name in ("name", "email", "phone", "tax_number"):
        if value := client.get(name):
            yield from (("client", word) for word in (folded(value), *words(value)))
    yield from (("place", word) for word in words(address))
    for cavity in cavities:
        yield "build_up", folded(cavity["label"])
        if code := cavity.get("build_up"):
            yield "build_up", folded(code)


def folded(text: str) -> str:
    """A text as it is compared: in one case and one form, and no longer than is kept."""
    return unicodedata.normalize("NFC", text).casefold()[:LONGEST]


def words(text: str) -> list[str]:
    """The words and numbers of a text."""
    return re.findall(r"\w+", folded(text))
