"""What opens something, as it is kept: nobody reads it who has the database and not the secret key.

Fernet (AES-128 in CBC mode, HMAC with SHA-256) under a key that HKDF (RFC 5869) derives from
the secret key for each purpose by itself.
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

ANSWERS = b"baywright: answers kept for an Idempotency-Key"
SIGNING = b"baywright: secrets that deliveries are signed by"
LOCKED = "locked"


def locked(value: Any, secret_key: str, purpose: bytes = ANSWERS) -> dict[str, str]:
    """The form in which an answer, or a secret, is kept."""
    return {LOCKED: _fernet(secret_key, purpose).encrypt(json.dumps(value).encode()).decode()}


def unlocked(kept: Any, secret_key: str, purpose: bytes = ANSWERS) -> Any:
    """What was kept, locked or not; raises Erased where the secret key is another one now."""
    if not isinstance(kept, dict) or kept.keys() != {LOCKED}:
        return kept
    try:
        return json.loads(_fernet(secret_key, purpose).decrypt(kept[LOCKED]))
    except InvalidToken:
        raise Erased(message("base.answer_locked")) from None


@lru_cache(maxsize=8)
def _fernet(secret_key: str, purpose: bytes) -> Fernet:
    derived = HKDF(algorithm=SHA256(), length=32, salt=None, info=purpose).derive(secret_key.encode())
    return Fernet(urlsafe_b64encode(derived))
