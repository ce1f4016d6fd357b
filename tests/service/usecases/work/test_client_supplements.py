"""By the link to another quote, or to a certificate, no supplement is found."""

from uuid import uuid4

import pytest

from service.errors import NotKnown
from service.usecases.base.context import Context
from service.usecases.work import client_supplements
from service.usecases.work.acceptances import Shown

SHOWN = Shown(name="A client", document_sha256="0" * 64)


def test_a_link_that_opens_nothing_accepts_nothing(context: Context) -> None:
    for act in (
        lambda: client_supplements.accept(context, "no-link", uuid4(), SHOWN),
        lambda: client_supplements.file(context, "no-link", uuid4()),
    ):
        with pytest.raises(NotKnown):
            act()
