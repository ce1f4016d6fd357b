"""Client links: signed, expiring, revocable; each opens one quote or one certificate."""

import json
from collections.abc import Mapping
from datetime import timedelta
from typing import Any
from uuid import UUID

from itsdangerous import BadSignature, URLSafeSerializer
from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.messages import message
from service.errors import Conflict, Erased, NotKnown
from service.store import acceptances, certificates, files, firms, links, quotes
from service.store.row_types import Link, Quote, Standing, some
from service.store.session import reveal
from service.usecases.base import journal
from service.usecases.base.context import Context, reads, writes, writes_link
from service.usecases.work import supplement_links
from service.usecases.work.accepted import accepted_by
from service.usecases.work.certificate_files import file as certificate_file
from service.usecases.work.options import side_by_side
from service.usecases.work.quote_papers import file as quote_file
from service.usecases.work.quote_papers import terms_of
from service.usecases.work.quote_states import state_on
from service.usecases.work.rendering import Awaited
from service.usecases.work.standings import public_view

SALT = "client link"
NOT_OPEN = message("links.not_open")


@writes_link
def create(
    connection: Connection, context: Context, kind: str, owner_id: UUID, days: int
) -> Mapping[str, Any]:
    """Make a link to a quote that was offered, or to a certificate."""
    _must_be_there(connection, context.firm_id, kind, owner_id)
    link_id = uuid7()
    expires_at = context.now + timedelta(days=days)
    links.add(
        connection,
        {
            "id": link_id,
            "firm_id": context.firm_id,
            "kind": kind,
            "owner_id": owner_id,
            "expires_at": expires_at,
            "created_at": context.now,
        },
    )
    journal.note(connection, context.firm_id, "link", link_id)
    token = _signer(context).dumps(link_id.hex)
    return {"id": link_id, "url": context.settings.public(f"/clients/{token}"), "expires_at": expires_at}


@reads
def listed(connection: Connection, context: Context, kind: str, owner_id: UUID) -> Mapping[str, Any]:
    """The links to a quote or a certificate that are in force, without what would open them."""
    find = _certificate if kind == "certificate" else _quote
    find(connection, context.firm_id, owner_id)
    return {"items": links.of(connection, kind=kind, owner_id=owner_id, now=context.now)}


@writes
def revoke(connection: Connection, context: Context, link_id: UUID) -> None:
    """Close a link before it expires."""
    if not links.revoke(connection, firm_id=context.firm_id, link_id=link_id, now=context.now):
        raise NotKnown(message("links.not_in_force"))
    journal.note(connection, context.firm_id, "link", link_id)


@reads
def opened(connection: Connection, context: Context, token: str) -> Mapping[str, Any]:
    """What a link opens; raises NotKnown for one that is altered, expired or revoked, all alike."""
    link = in_force(connection, context, token)
    if link["kind"] == "certificate":
        shown = _certificate_view(connection, _certificate(connection, link["firm_id"], link["owner_id"]))
    else:
        offer = _offered(connection, link["firm_id"], link["owner_id"])
        shown = _quote_view(connection, offer, context)
    firm = firms.by_id(connection, link["firm_id"])["data"]
    return {**shown, "kind": link["kind"], "expires_at": link["expires_at"], "firm": firm}


def file(context: Context, token: str) -> Mapping[str, Any] | Awaited:
    """The file of what a link opens, or what it waits for."""
    link = target(context, token)
    firm = context.acting_for(UUID(link["firm_id"]), "client link")
    of_owner = certificate_file if link["kind"] == "certificate" else quote_file
    return of_owner(firm, UUID(link["owner_id"]))


@reads
def target(connection: Connection, context: Context, token: str) -> Mapping[str, Any]:
    """Whose a link is, and what it opens."""
    link = in_force(connection, context, token)
    return {name: link[name] for name in ("kind", "owner_id", "firm_id")}


def _signer(context: Context) -> URLSafeSerializer:
    return URLSafeSerializer(context.settings.secret_key, salt=SALT)


def in_force(connection: Connection, context: Context, token: str) -> Link:
    """The link of a token; raises NotKnown for one that is altered, expired or revoked, all alike."""
    try:
        link_id = UUID(_signer(context).loads(token))
    except (BadSignature, ValueError, AttributeError):
        raise NotKnown(NOT_OPEN) from None
    reveal(connection, link=link_id)
    link = links.in_force(connection, link_id, context.now)
    if link is None:
        raise NotKnown(NOT_OPEN)
    reveal(connection, firm=link["firm_id"])
    return link


def _must_be_there(connection: Connection, firm_id: UUID, kind: str, owner_id: UUID) -> None:
    if kind == "certificate":
        _certificate(connection, firm_id, owner_id)
    else:
        _offered(connection, firm_id, owner_id)


def _certificate(connection: Connection, firm_id: UUID, certificate_id: UUID) -> Standing:
    found = certificates.by_id(connection, firm_id=firm_id, certificate_id=certificate_id)
    if found is None:
        raise NotKnown(message("certificates.not_known"))
    return found


def _quote(connection: Connection, firm_id: UUID, quote_id: UUID) -> Quote:
    found = quotes.by_id(connection, firm_id=firm_id, quote_id=quote_id)
    if found is None:
        raise NotKnown(message("links.no_such_quote"))
    return found


def _offered(connection: Connection, firm_id: UUID, quote_id: UUID) -> Quote:
    found = _quote(connection, firm_id, quote_id)
    if found["number"] is None:
        raise Conflict(message("links.draft"))
    return found


def _certificate_view(connection: Connection, certificate: Standing) -> dict[str, Any]:
    record = json.loads(certificate["record"])
    shown = {**public_view(connection, certificate), **some(record, ("market", "language"))}
    if shown["state"] == "in_force" and not shown["file_erased_at"]:
        shown["record"] = record
    return shown


def _quote_view(connection: Connection, quote: Quote, context: Context) -> dict[str, Any]:
    if quote["client_erased_at"]:
        raise Erased(message("documents.erased", day=quote["client_erased_at"].date()))
    accepted = acceptances.of(connection, quote["id"])
    return {
        "market": quote["basis"]["practice"]["market"],
        "terms": terms_of(quote),
        "language": quote["body"]["language"],
        "number": quote["number"],
        "state": state_on(quote, context.now.date()),
        "issued_at": quote["offered_at"],
        "valid_until": quote["valid_until"],
        "total": quote["total"],
        "currency": quote["currency"],
        "document_sha256": files.digest_of(connection, kind="quote", owner_id=quote["id"]),
        "options": side_by_side(connection, quote, accepted["option"] if accepted else None),
        "acceptance": accepted_by(accepted) if accepted else None,
        "superseded_at": quote["superseded_at"],
        "supplements": supplement_links.view(connection, quote["id"], context.now.date()),
        "file_erased_at": None,
    }
