"""What messages say, for tests that read sentences; code and values are the engine's."""

from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message


def said(sentence: Message | str | None) -> str:
    """The sentence in English and SI units, with plain spaces; nothing where there is none."""
    if sentence is None:
        return ""
    words = in_words(sentence) if isinstance(sentence, Message) else sentence
    return words.replace("\u00a0", " ").replace("\u202f", " ")
