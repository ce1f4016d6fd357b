"""The firms' signing keys: files `FIRM.p12` in the signing folder, opened with the signing password.

A firm without a file does not sign. A file that cannot be used is an error, never a
certificate without its signature.
"""

import os
import re
from datetime import datetime
from pathlib import Path

from pyhanko.sign.signers import SimpleSigner
from sqlalchemy import Engine

from service.documents.pdf import signing
from service.engine.ground.messages import message
from service.engine.survey.limits import FIRM_CODE
from service.errors import Conflict, NotKnown, SettingsWrong
from service.settings import Settings
from service.store import firms
from service.store.session import reading

KIND = ".p12"


def of(settings: Settings, firm_code: str, now: datetime) -> SimpleSigner | None:
    """The key of a firm, None when it has none; raises SettingsWrong when it cannot be used at `now`."""
    if not settings.signing_folder:
        return None
    path = _path(settings, firm_code)
    # A link that leads nowhere is a key that is missing, not a firm that does not sign.
    return _read(path, settings, now) if os.path.lexists(path) else None


def check(database: Engine, settings: Settings, now: datetime) -> None:
    """See that every file of the signing folder is a firm's, and can be used; raises SettingsWrong."""
    if not settings.signing_folder:
        return
    with reading(database) as connection:
        wanted = {f"{firm['code']}{KIND}" for firm in firms.every(connection)}
    for path in sorted(_folder(settings).iterdir()):
        if path.name.startswith("."):
            continue
        if path.name not in wanted:
            raise SettingsWrong(f"Signing folder: {path.name} is not named after a firm, as FIRM{KIND}.")
        _read(path, settings, now)


def make_trial(database: Engine, settings: Settings, firm_code: str, now: datetime) -> Path:
    """Make a key for trying signing out; raises Conflict when the firm has one."""
    with reading(database) as connection:
        if firms.by_code(connection, firm_code) is None:
            raise NotKnown(message("firm.not_known", code=firm_code))
    if not settings.signing_folder or not settings.signing_password:
        raise SettingsWrong("Set BAYWRIGHT_SIGNING_FOLDER and BAYWRIGHT_SIGNING_PASSWORD first.")
    path = _path(settings, firm_code)
    content = signing.trial_key(f"{firm_code} (trial key)", password=settings.signing_password, now=now)
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(content)
    except FileExistsError:
        raise Conflict(message("firm.has_a_signing_key", file=path.name)) from None
    return path


def _path(settings: Settings, firm_code: str) -> Path:
    """Where the key of a firm lies; raises SettingsWrong for a code that would lead elsewhere."""
    if not re.fullmatch(FIRM_CODE, firm_code):
        raise SettingsWrong("A firm has a code in the database that none can have: no key is looked for.")
    return _folder(settings) / f"{firm_code}{KIND}"


def _folder(settings: Settings) -> Path:
    folder = Path(settings.signing_folder)
    if not folder.is_dir():
        raise SettingsWrong("BAYWRIGHT_SIGNING_FOLDER names no folder.")
    return folder


def _read(path: Path, settings: Settings, now: datetime) -> SimpleSigner:
    try:
        content = path.read_bytes()
    except OSError as error:
        raise SettingsWrong(f"Signing key {path.name} cannot be read: {error.strerror}.") from None
    return signing.read_key(content, name=path.name, password=settings.signing_password, now=now)
