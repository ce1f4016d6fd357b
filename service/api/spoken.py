"""Answers in the reader's language: a sentence has its code and values beside it, and so can be said anew.

Answers are made in English. Who asks for another language that there are catalogues in, by
Accept-Language, gets the sentences in it: code, values and everything else stay as they are.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any

from flask import Flask, Response, json, request

from service.documents.wording.formats import Units
from service.documents.wording.languages import CATALOGUES, ORIGIN
from service.documents.wording.sentences import in_words

WORDS = ("text", "detail")
"""Where a sentence stands beside its code and values: in an answer, and in a problem."""


def register(app: Flask) -> None:
    """Say what is answered in the language that was asked for; what comes with a digest stays as it is."""

    @app.after_request
    def say(response: Response) -> Response:
        if not response.is_json or response.is_streamed or "Repr-Digest" in response.headers:
            return response
        if "Vary" in response.headers:
            response.vary.add("Accept-Language")
        else:
            response.headers.add("Vary", "Accept-Language")
        if (language := asked_for()) != ORIGIN:
            response.set_data(json.dumps(said(json.loads(response.get_data()), Units("eu", language))))
            response.content_language.add(language)
        return response


def asked_for() -> str:
    """The language, of those that there are catalogues in, that this request asks for (RFC 4647, 3.4)."""
    if "HTTP_ACCEPT_LANGUAGE" not in request.environ:
        return ORIGIN
    # What is asked for first comes first here; who asks for one of a country takes the language itself.
    asked = (tag.partition("-")[0].lower() for tag, quality in request.accept_languages if quality)
    return next((language for language in asked if language in _spoken()), ORIGIN)


@cache
def _spoken() -> frozenset[str]:
    return frozenset(each.name for each in CATALOGUES.iterdir() if each.is_dir())


def said(plain: Any, units: Units) -> Any:
    """What is answered, with its sentences in the language of `units`."""
    if isinstance(plain, list):
        return [said(each, units) for each in plain]
    if not isinstance(plain, dict):
        return plain
    changed = {name: said(value, units) for name, value in plain.items()}
    place = next((name for name in WORDS if isinstance(plain.get(name), str)), None)
    return {**changed, place: in_words(plain, units)} if place and _is_sentence(plain) else changed


def _is_sentence(plain: Mapping[str, Any]) -> bool:
    return isinstance(plain.get("code"), str) and isinstance(plain.get("values"), dict)
