"""A stored quote as it would be posted again: for a revision, a copy, an option."""

from collections.abc import Iterable, Sequence
from typing import cast

from service.engine.ground.messages import message
from service.engine.ground.rfc3339 import read_day
from service.errors import Erased
from service.store.row_types import Quote, QuoteCavity
from service.usecases.work.bodies import OptionBody, QuoteBody


def body_of(quote: Quote, cavities: Iterable[QuoteCavity], options: Sequence[OptionBody] = ()) -> QuoteBody:
    """The body that makes this quote; raises Erased once its client's data is gone."""
    if quote["client_erased_at"]:
        raise Erased(message("documents.erased", day=quote["client_erased_at"].date()))
    data = dict(quote["client"])
    body = {name: value for name, value in quote["body"].items() if name != "options"}
    address = data.pop("address")
    again = {
        **body,
        "reference": quote["reference"],
        "currency": quote["currency"],
        "priced_on": read_day(body["priced_on"]),
        "client": data,
        "site": {"address": address, **body["site"]},
        "cavities": [row["surveyed"] for row in cavities],
        **({"options": list(options)} if options else {}),
    }
    return cast(QuoteBody, again)
