"""What an error says, in the words that its reader gets."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message
from service.errors import BaywrightError, InvalidInput


def words(detail: Any) -> str:
    """A detail in English, whether it is a message or words already."""
    return in_words(detail) if isinstance(detail, Message) else str(detail)


def told(error: BaywrightError) -> str:
    """What an error says: of bad input all of it."""
    if isinstance(error, InvalidInput):
        return "\n".join(words(fault.detail) for fault in error.faults)
    return words(error.detail)


@contextmanager
def refused(kind: type[BaywrightError], why: str) -> Iterator[pytest.ExceptionInfo[BaywrightError]]:
    """What is done in here must raise such an error, in words that the pattern finds."""
    with pytest.raises(kind) as caught:
        yield caught
    assert re.search(why, told(caught.value)), told(caught.value)
