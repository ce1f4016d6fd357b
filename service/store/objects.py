"""Objects: large contents outside the database, in a bucket of whatever speaks the S3 protocol.

Everything that is said of it here is bytes under keys. What lies where, and whether it is still what was
stored, is known by the rows (`store/contents.py`).
"""

import importlib.util
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from urllib.parse import urlsplit

from service.engine.ground.messages import Message, message
from service.errors import ContentUnavailable, SettingsWrong
from service.settings import Settings

CONNECT_S, READ_S, ATTEMPTS = 2, 10, 2
"""A request to the store ends after these at the latest: twice twelve seconds."""
GONE = frozenset({"404", "NoSuchKey"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Bucket:
    """Where objects lie, and who asks for them. Without a key the client looks where it usually does."""

    endpoint: str
    name: str
    prefix: str
    region: str
    key_id: str | None
    secret: str | None = field(repr=False)


class Objects:
    """The objects of a bucket; every method raises ContentUnavailable where it is out of reach."""

    def __init__(self, bucket: Bucket) -> None:
        self.bucket = bucket

    def put(self, key: str, content: bytes) -> None:
        """Store an object."""
        with _as_unavailable(key):
            _client(self.bucket).put_object(**self._at(key), Body=content)

    def get(self, key: str) -> bytes:
        """An object's content, whole."""
        with _as_unavailable(key):
            content: bytes = _client(self.bucket).get_object(**self._at(key))["Body"].read()
        return content

    def delete(self, key: str) -> None:
        """Delete an object; one that is not there is no fault."""
        with _as_unavailable(key):
            _client(self.bucket).delete_object(**self._at(key))

    def under(self, beginning: str, *, before: datetime | None = None) -> Iterator[str]:
        """The keys that begin so, of objects that were stored before a moment."""
        listed = {"Bucket": self.bucket.name, "Prefix": self.bucket.prefix + beginning}
        with _as_unavailable(beginning):
            for page in _client(self.bucket).get_paginator("list_objects_v2").paginate(**listed):
                for each in page.get("Contents", ()):
                    if before is None or each["LastModified"] < before:
                        yield each["Key"].removeprefix(self.bucket.prefix)

    def fault(self) -> Message | None:
        """Why the bucket cannot be had just now; None where nothing speaks against it."""
        try:
            with _as_unavailable(""):
                _client(self.bucket).head_bucket(Bucket=self.bucket.name)
        except ContentUnavailable:
            return message("store.objects_away")
        return None

    def _at(self, key: str) -> dict[str, str]:
        return {"Bucket": self.bucket.name, "Key": self.bucket.prefix + key}


def opened(settings: Settings) -> Objects | None:
    """The object store that the settings name, if they do; nothing is asked of it yet."""
    if not settings.objects_url:
        return None
    if importlib.util.find_spec("botocore") is None:
        raise SettingsWrong(
            "BAYWRIGHT_OBJECTS_URL is set, and botocore is not installed: it comes with the extra `objects`."
        )
    address = urlsplit(settings.objects_url)
    name, _, prefix = address.path.strip("/").partition("/")
    bucket = Bucket(
        endpoint=f"{address.scheme}://{address.netloc}",
        name=name,
        prefix=f"{prefix}/" if prefix else "",
        region=settings.objects_region,
        key_id=settings.objects_key_id or None,
        secret=settings.objects_secret or None,
    )
    return Objects(bucket)


@dataclass(slots=True)
class _Made:
    client: Any
    used_by: int | None = None


_MADE: dict[Bucket, _Made] = {}


def prepare(objects: Objects | None) -> None:
    """Make the client before processes are forked, which takes a while; nothing is asked of the store yet."""
    if objects is not None:
        _MADE[objects.bucket] = _Made(_new_client(objects.bucket))


def _client(bucket: Bucket) -> Any:
    """This process's client: connections of one from before a fork are another's."""
    made = _MADE.get(bucket)
    if made is None or made.used_by not in (None, os.getpid()):
        made = _MADE[bucket] = _Made(_new_client(bucket))
    made.used_by = os.getpid()
    return made.client


def _new_client(bucket: Bucket) -> Any:
    # Whoever has no object store does not wait for it.
    from botocore.config import Config
    from botocore.session import Session

    config = Config(
        connect_timeout=CONNECT_S,
        read_timeout=READ_S,
        retries={"total_max_attempts": ATTEMPTS, "mode": "standard"},
        # What is sent is signed with its digest; checksums beside it are not known to every server.
        s3={"addressing_style": "path", "payload_signing_enabled": True},
        request_checksum_calculation="when_required",
        response_checksum_validation="when_required",
    )
    return Session().create_client(
        "s3",
        endpoint_url=bucket.endpoint,
        region_name=bucket.region,
        aws_access_key_id=bucket.key_id,
        aws_secret_access_key=bucket.secret,
        config=config,
    )


@contextmanager
def _as_unavailable(key: str) -> Iterator[None]:
    """Raise ContentUnavailable for whatever the client raises."""
    from botocore.exceptions import BotoCoreError, ClientError
    from urllib3.exceptions import HTTPError

    try:
        yield
    except ClientError as error:
        is_lost = str(error.response.get("Error", {}).get("Code")) in GONE
        raise ContentUnavailable(
            message("store.object_missing", key=key) if is_lost else message("store.objects_away"),
            is_lost=is_lost,
        ) from error
    except (BotoCoreError, HTTPError, OSError) as error:
        raise ContentUnavailable(message("store.objects_away")) from error
