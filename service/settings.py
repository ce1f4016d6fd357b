"""Settings, read once from the environment, all with the prefix `BAYWRIGHT_`.

A secret may also come from a file: `BAYWRIGHT_SECRET_KEY_FILE` names it. No
secret has a default. `baywright settings` prints this table with its values.
"""

import os
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from ipaddress import ip_network
from pathlib import Path
from typing import Any

from service.errors import SettingsWrong

PREFIX = "BAYWRIGHT_"
# What is carried through to its certificate, measured (tests/contract/test_large_building.py): no process
# takes 700 MB then; the crew's sheet, the largest paper, takes two and a half minutes of the processor.
MOST_CAVITIES = 2_000
# RFC 3986, without user, query and fragment.
PUBLIC_URL = r"(https?://[A-Za-z0-9.\-\[\]:]+(/[A-Za-z0-9._~/-]*)?)?"
BUCKET_URL = r"(https?://[A-Za-z0-9.\-\[\]:]+(/[A-Za-z0-9._-]+)+/?)?"
LEVELS = ("DEBUG", "INFO", "WARNING", "ERROR", "CRITICAL")
ENOUGH = "must have at least 16 characters."
FORMS = {
    "public_url": (PUBLIC_URL, "must begin with https:// or http:// and a host."),
    "objects_url": (BUCKET_URL, "must be http(s)://HOST/BUCKET, with a prefix or without."),
    "log_level": ("|".join(LEVELS), f"must be one of {', '.join(LEVELS)}."),
    "rate_storage": (r"memory://|redis[a-z+]*://\S+", "must be memory:// or redis://HOST."),
    "secret_key": (r"(?s).{16,}", ENOUGH),
    "metrics_key": (r"(?s)(.{16,})?", ENOUGH),
}
"""What a text has to be like; an empty one is that of a setting which need not be set."""


def _setting(default: Any, meaning: str, secret: bool = False) -> Any:
    return field(default=default, repr=not secret, metadata={"meaning": meaning, "secret": secret})


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Everything that can differ between two installations."""

    database_url: str = _setting("", "SQLAlchemy URL; a SQLite file in the user's data folder when not set")
    owner_database_url: str = _setting(
        "", "the same database by the role that owns it: migrates, checks and works; else the first is used"
    )
    objects_url: str = _setting(
        "", "bucket for documents and photos: https://HOST/BUCKET, or with a prefix; else in the database"
    )
    objects_region: str = _setting("us-east-1", "region of that bucket, as its requests are signed for")
    objects_key_id: str = _setting(
        "", "who asks for its objects; without it the client looks where it usually does"
    )
    objects_secret: str = _setting("", "signs what is asked of it", secret=True)
    secret_key: str = _setting("", "signs client links; made and kept by SQLite", secret=True)
    public_url: str = _setting("", "address that links and QR codes lead to; nothing is issued without one")
    signing_folder: str = _setting("", "folder with the firms' signing keys, a FIRM.p12 each")
    signing_password: str = _setting("", "opens the signing keys", secret=True)
    plain_http: int = _setting(0, "1 where a timestamp authority may be asked without https")
    log_level: str = _setting("INFO", "least severe level that is logged")
    body_limit_bytes: int = _setting(4_194_304, "largest request body")
    cavity_limit: int = _setting(
        MOST_CAVITIES,
        "most cavities in one building, 2000 at the most",
    )
    entry_limit: int = _setting(1_000, "most site entries in one batch")
    idempotency_days: int = _setting(30, "how long the answer to an Idempotency-Key is kept")
    job_entry_limit: int = _setting(20_000, "most site entries of one job")
    rate_per_minute: int = _setting(600, "most requests by one key; each worker process counts for itself")
    public_rate_per_minute: int = _setting(120, "most requests without a key by one address")
    rate_storage: str = _setting("memory://", "where requests are counted; redis://HOST for several servers")
    proxies: int = _setting(0, "how many proxies of your own stand in front and set X-Forwarded-For")
    metrics_key: str = _setting("", "opens /metrics, which is not there without it", secret=True)
    task_limit_s: int = _setting(900, "longest that a worker is at one document or delivery, in seconds")
    task_limit_mib: int = _setting(2_048, "most memory that a worker takes for one, in MiB")
    deliver_to: str = _setting(
        "",
        "networks inside which receivers of events may lie, such as 10.1.0.0/16; otherwise public ones alone",
    )
    photo_limit: int = _setting(200, "most photos of one job")
    photo_limit_bytes: int = _setting(16_777_216, "largest photo")
    photo_limit_pixels: int = _setting(52_000_000, "most pixels in a photo")

    def public(self, path: str) -> str:
        """The address of `path` for everybody; raises SettingsWrong when none is set.

        It has no default: a certificate's QR code must not lead to whatever machine reads it.
        """
        if not self.public_url:
            raise SettingsWrong(
                f"{PREFIX}PUBLIC_URL is not set: links and QR codes would lead nowhere. Set it to the "
                "address that this service has for everybody, and start it again."
            )
        return f"{self.public_url}{path}"

    @property
    def operator_url(self) -> str:
        """The database by the role that sees every firm's rows."""
        return self.owner_database_url or self.database_url

    @property
    def on_sqlite(self) -> bool:
        """Whether the records live in a SQLite file."""
        return self.database_url.startswith("sqlite")


def read(environment: Mapping[str, str]) -> Settings:
    """The settings of `environment`; raises SettingsWrong, naming the variable."""
    values = {f.name: _value(environment, f.name, f.default) for f in fields(Settings)}
    values["database_url"] = values["database_url"] or _default_database(environment)
    if not values["secret_key"]:
        values["secret_key"] = _kept_secret(values["database_url"])
    values["public_url"] = values["public_url"].rstrip("/")
    for name, (form, must) in FORMS.items():
        if not re.fullmatch(form, values[name]):
            raise SettingsWrong(f"{PREFIX}{name.upper()} {must}")
    if values["cavity_limit"] > MOST_CAVITIES:
        raise SettingsWrong(f"{PREFIX}CAVITY_LIMIT must be {MOST_CAVITIES} at the most.")
    for network in values["deliver_to"].split():
        _must_be_network(network)
    return Settings(**values)


def _must_be_network(text: str) -> None:
    try:
        ip_network(text)
    except ValueError:
        raise SettingsWrong(f"{PREFIX}DELIVER_TO: {text} is no network, such as 10.1.0.0/16.") from None


def _value(environment: Mapping[str, str], name: str, default: Any) -> Any:
    variable = PREFIX + name.upper()
    text = _filed(environment, f"{variable}_FILE")
    if text is None:
        text = environment.get(variable)
    if text is None or not isinstance(default, int):
        return default if text is None else text
    if not (text.isascii() and text.isdigit()):
        raise SettingsWrong(f"{variable} must be a whole number.")
    return int(text)


def _filed(environment: Mapping[str, str], variable: str) -> str | None:
    if variable not in environment:
        return None
    path = Path(environment[variable])
    if not path.is_file():
        raise SettingsWrong(f"{variable} names a file that is not there.")
    try:
        return path.read_text(encoding="utf-8").strip()
    except UnicodeDecodeError:
        raise SettingsWrong(f"{variable} names a file that is not UTF-8.") from None


def _default_database(environment: Mapping[str, str]) -> str:
    data = Path(environment.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    folder = data / "baywright"
    # Of nobody else on the machine: the records are the firms' and their clients'.
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return f"sqlite:///{folder / 'baywright.sqlite3'}"


def _kept_secret(database_url: str) -> str:
    if not database_url.startswith("sqlite:///"):
        raise SettingsWrong(f"{PREFIX}SECRET_KEY is required with a database server.")
    path = Path(database_url.removeprefix("sqlite:///") + ".secret")
    if not path.parent.is_dir():
        raise SettingsWrong(f"There is no folder {path.parent} for the database.")
    try:
        # Exclusive creation: two workers that start at once must end with one secret.
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(32))
    except FileExistsError:
        pass
    except OSError as error:
        raise SettingsWrong(f"{path}: {error.strerror}. Links are signed with what it holds.") from None
    return path.read_text(encoding="utf-8").strip()


def described(settings: Settings) -> list[tuple[str, str, str]]:
    """Rows of (variable, present value with secrets masked, meaning)."""
    return [
        (
            PREFIX + f.name.upper(),
            _shown(f.metadata["secret"], getattr(settings, f.name)),
            f.metadata["meaning"],
        )
        for f in fields(Settings)
    ]


def _shown(secret: bool, value: Any) -> str:
    if secret and value:
        return "(set)"
    # An address of a database or a store may hold a password.
    return re.sub(r"(?<=://)([^:@/]*):[^/]*@", r"\1:***@", str(value))


def from_environment() -> Settings:
    """The settings of this process's environment."""
    return read(os.environ)
