"""What was learned, adopted: a firm orders by what its certified jobs took. Nothing adopts itself."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any, TypedDict
from uuid import UUID

from service.engine.ground.messages import message, word
from service.engine.ground.vocabulary import Element, Method, Standing
from service.engine.site.learned import FEWEST_JOBS, Learned
from service.errors import Conflict
from service.usecases.base.context import Context
from service.usecases.firm import practice
from service.usecases.work import summaries

OF_THE_VERSION = ("id", "created_at")


class AdoptionBody(TypedDict):
    """From which days, of which parts, and from when on it is to hold."""

    in_force_from: date
    since: date
    until: date
    element: Element
    method: Method


def adopt(context: Context, code: str, body: AdoptionBody) -> Mapping[str, Any]:
    """A version of a practice that orders by what parts took: raises Conflict where too few jobs say it."""
    found = _learned(context, body)
    last = practice.last(context, code, body["in_force_from"])
    row = {
        **asdict(found),
        # The days that it was learned from (ISO 8601); how many jobs and parts stands beside it.
        "source": f"{body['since']}/{body['until']}",
        "standing": Standing.DECLARED,
    }
    of = (body["element"], body["method"])
    others = [each for each in last["experience"] if (each["element"], each["method"]) != of]
    kept = {name: value for name, value in last.items() if name not in OF_THE_VERSION}
    version = {**kept, "in_force_from": body["in_force_from"], "experience": [*others, row]}
    added: Mapping[str, Any] = practice.change(context, version, UUID(last["id"]))
    return added


def _learned(context: Context, body: AdoptionBody) -> Learned:
    for each in summaries.summary(context, body["since"], body["until"]).learned:
        if (each.element, each.method) == (body["element"], body["method"]):
            return each
    said = {"element": word(body["element"]), "method": word(body["method"])}
    raise Conflict(message("adoptions.too_few_jobs", fewest=FEWEST_JOBS, **said))
