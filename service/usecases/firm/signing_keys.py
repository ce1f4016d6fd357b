"""The firms' signing keys: files `FIRM.p12` in the signing folder, opened with the signing password.

A firm without a file does not sign. A file that cannot be used is an error, never a
certificate without its signature. A firm that names an authority for timestamps has them in
every signature; `FIRM.pem` beside its key holds the certificates that key and authority rest on.
"""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Any

from asn1crypto.x509 import Certificate
from pyhanko.sign.signers import SimpleSigner
from sqlalchemy import Engine

from service.documents.pdf import signing
from service.documents.pdf.timestamps import Timestamps
from service.engine.ground.messages import message
from service.engine.survey.limits import FIRM_CODE
from service.errors import Conflict, NotKnown, SettingsWrong
from service.settings import Settings
from service.store import firms
from service.store.session import reading

KIND, TRUSTED = ".p12", ".pem"


class Signature(StrEnum):
    """How the file of a certificate is signed."""

    NONE = "none"
    FIRM = "firm"
    TIMESTAMPED = "timestamped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Signing:
    """A firm's key, and where its signatures have timestamps the authority for them."""

    key: SimpleSigner
    stamped: Timestamps | None

    @property
    def kind(self) -> Signature:
        """What its signatures are."""
        return Signature.TIMESTAMPED if self.stamped else Signature.FIRM


def by(settings: Settings, code: str, firm: Mapping[str, Any], now: datetime) -> Signing | None:
    """How a firm (its code and data) signs, None where it does not.

    Raises SettingsWrong where it cannot as it should.
    """
    key = of(settings, code, now)
    if key is None:
        return None
    url = firm.get("timestamp_url")
    if url is None:
        return Signing(key=key, stamped=None)
    if not (url.startswith("https://") or settings.plain_http):
        raise SettingsWrong(message("firm.authority_without_https", code=code))
    return Signing(key=key, stamped=Timestamps(url=url, roots=_roots(settings, code, key)))


def as_issued(
    settings: Settings, code: str, firm: Mapping[str, Any], said: Signature, now: datetime
) -> Signing | None:
    """How a file is signed whose record says how: never otherwise, else SettingsWrong is raised."""
    if said is Signature.NONE:
        return None
    signing = by(settings, code, firm, now)
    if signing is None or (said is Signature.TIMESTAMPED and not signing.stamped):
        raise SettingsWrong(message("firm.cannot_sign_any_more", code=code))
    return replace(signing, stamped=None) if said is Signature.FIRM else signing


def _roots(settings: Settings, firm_code: str, key: SimpleSigner) -> tuple[Certificate, ...]:
    """Whom the operator trusts for a firm: who stands above its key, or it itself, and whom he names."""
    own = {each.dump(): each for each in (key.signing_cert, *key.cert_registry) if each.self_issued}
    return (*own.values(), *_trusted(settings, firm_code))


def _trusted(settings: Settings, firm_code: str) -> list[Certificate]:
    path = _path(settings, firm_code, TRUSTED)
    if not os.path.lexists(path):
        return []
    try:
        return signing.read_trusted(path.read_bytes(), name=path.name)
    except OSError as error:
        raise _unreadable(path, error) from None


def of(settings: Settings, firm_code: str, now: datetime) -> SimpleSigner | None:
    """The key of a firm, None when it has none; raises SettingsWrong when it cannot be used at `now`."""
    if not settings.signing_folder:
        return None
    path = _path(settings, firm_code)
    # A link that leads nowhere is a key that is missing, not a firm that does not sign.
    return _read(path, settings, now) if os.path.lexists(path) else None


def check(database: Engine, settings: Settings, now: datetime) -> None:
    """See that every file of the signing folder is a firm's, and can be used; raises SettingsWrong.

    The operator's database: whose firms there are is nothing that the service's role may see.
    """
    if not settings.signing_folder:
        return
    with reading(database) as connection:
        known = {firm["code"]: firm["data"] for firm in firms.every(connection)}
    for path in sorted(_folder(settings).iterdir()):
        if path.name.startswith("."):
            continue
        if path.stem not in known or path.suffix not in (KIND, TRUSTED):
            raise SettingsWrong(message("firm.no_firms_key", file=path.name))
        by(settings, path.stem, known[path.stem], now)
        _trusted(settings, path.stem)


def make_trial(database: Engine, settings: Settings, firm_code: str, now: datetime) -> Path:
    """Make a key for trying signing out; raises Conflict when the firm has one."""
    with reading(database) as connection:
        if firms.by_code(connection, firm_code) is None:
            raise NotKnown(message("firm.not_known", code=firm_code))
    if not settings.signing_folder or not settings.signing_password:
        raise SettingsWrong(message("firm.signing_not_set"))
    path = _path(settings, firm_code)
    content = signing.trial_key(f"{firm_code} (trial key)", password=settings.signing_password, now=now)
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(content)
    except FileExistsError:
        raise Conflict(message("firm.has_a_signing_key", file=path.name)) from None
    return path


def _path(settings: Settings, firm_code: str, kind: str = KIND) -> Path:
    """Where a file of a firm lies; raises SettingsWrong for a code that would lead elsewhere."""
    if not re.fullmatch(FIRM_CODE, firm_code):
        raise SettingsWrong(message("firm.impossible_code"))
    return _folder(settings) / f"{firm_code}{kind}"


def _folder(settings: Settings) -> Path:
    folder = Path(settings.signing_folder)
    if not folder.is_dir():
        raise SettingsWrong(message("firm.no_signing_folder"))
    return folder


def _read(path: Path, settings: Settings, now: datetime) -> SimpleSigner:
    try:
        content = path.read_bytes()
    except OSError as error:
        raise _unreadable(path, error) from None
    return signing.read_key(content, name=path.name, password=settings.signing_password, now=now)


def _unreadable(path: Path, error: OSError) -> SettingsWrong:
    return SettingsWrong(message("firm.key_not_readable", file=path.name, cause=str(error.strerror)))
