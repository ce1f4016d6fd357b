"""Keys: made, listed, revoked, and recognised when they are used."""

import hashlib
import secrets
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Engine

from service.errors import Fault, InvalidInput, NotIdentified, NotKnown
from service.store import firms, keys
from service.store.session import reading, writing
from service.usecases.context import Caller

ROLES = ("sales", "installer", "signatory", "office")
PREFIX_LENGTH = 8


def digest(key: str) -> str:
    """What is kept of a key. It has 256 bits of chance, so a plain hash cannot be searched backwards."""
    return hashlib.sha256(key.encode()).hexdigest()


def add(database: Engine, *, firm_code: str, roles: list[str], label: str, now: datetime) -> str:
    """Make a key for a firm; the key itself is returned here and never again."""
    unknown = [role for role in roles if role not in ROLES]
    if unknown or not roles:
        raise InvalidInput(Fault("/roles", f"Roles are {', '.join(ROLES)}."))
    secret = secrets.token_urlsafe(32)
    prefix = secrets.token_hex(PREFIX_LENGTH // 2)
    key = f"bw_{prefix}_{secret}"
    with writing(database) as connection:
        firm = firms.by_code(connection, firm_code)
        if firm is None:
            raise NotKnown(f"There is no firm {firm_code}.")
        keys.add(
            connection,
            firm_id=firm["id"],
            prefix=prefix,
            digest=digest(key),
            roles=sorted(set(roles)),
            label=label,
            now=now,
        )
    return key


def identify(database: Engine, key: str) -> Caller:
    """Who holds this key; raises NotIdentified when it is not in force."""
    with reading(database) as connection:
        row = keys.in_force(connection, digest(key))
    if row is None:
        raise NotIdentified("This key is not in force.")
    return Caller(key_id=row["id"], firm_id=row["firm_id"], roles=frozenset(row["roles"]), label=row["label"])


def every(database: Engine) -> list[Mapping[str, Any]]:
    """All keys, without what would let anybody use them."""
    with reading(database) as connection:
        return [dict(row) for row in keys.every(connection)]


def revoke(database: Engine, *, prefix: str, now: datetime) -> None:
    """Revoke the key with this prefix; raises NotKnown when none is in force."""
    with writing(database) as connection:
        if not keys.revoke(connection, prefix, now):
            raise NotKnown(f"No key in force begins with {prefix}.")
