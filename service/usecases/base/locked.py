"""Answers that hold a link, as they are kept: nobody opens them who has the database and not the secret key.

Fernet (AES-128 in CBC mode, HMAC with SHA-256) under a key that HKDF (RFC 5869) derives from
the secret key for this purpose alone.
"""

import json
from base64 import urlsafe_b64encode
from functools import lru_cache
from typing import Any

from cryptography.fernet import Fernet, InvalidToken
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from service.engine.ground.messages import message
from service.errors import Erased

PURPOSE = b"baywright: answers kept for an Idempotency-Key"
LOCKED = "locked"


def locked(answer: Any, secret_key: str) -> dict[str, str]:
    """The form in which an answer is kept."""
    return {LOCKED: _fernet(secret_key).encrypt(json.dumps(answer).encode()).decode()}


def unlocked(kept: Any, secret_key: str) -> Any:
    """The answer that was kept, locked or not; raises Erased where the secret key is another one now."""
    if not isinstance(kept, dict) or kept.keys() != {LOCKED}:
        return kept
    try:
        return json.loads(_fernet(secret_key).decrypt(kept[LOCKED]))
    except InvalidToken:
        raise Erased(message("base.answer_locked")) from None


@lru_cache(maxsize=8)
def _fernet(secret_key: str) -> Fernet:
    derived = HKDF(algorithm=SHA256(), length=32, salt=None, info=PURPOSE).derive(secret_key.encode())
    return Fernet(urlsafe_b64encode(derived))
