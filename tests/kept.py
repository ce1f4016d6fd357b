"""A service whose contents lie in an object store, and a job of it that has some."""

import hashlib
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from sqlalchemy import Engine

from service.usecases.keeping import checks
from tests.api import Api
from tests.objects import ObjectStore
from tests.pictures import photo
from tests.said import said


@dataclass(frozen=True, slots=True)
class Kept:
    """The service with a store beside its database, and a job of it with a photo and its papers."""

    api: Api
    store: ObjectStore
    database: Engine
    job: Any
    photo: str

    @property
    def paths(self) -> tuple[str, ...]:
        """Where its contents are read."""
        job = f"/v1/jobs/{self.job['id']}"
        return f"/v1/quotes/{self.job['quote_id']}/document", f"{job}/document", self.photo

    def read(self) -> list[tuple[int, str]]:
        """The status and the digest of each of its contents."""
        answers = [self.api.send("GET", path) for path in self.paths]
        return [(each.status_code, hashlib.sha256(each.data).hexdigest()) for each in answers]

    def faults(self) -> list[str]:
        """What `baywright check` says."""
        return list(map(said, checks.verify(self.database).faults))


def photographed(api: Api, job: Any, shade: int = 0) -> str:
    """Where a new photo of a job is read."""
    path = f"/v1/jobs/{job['id']}/photos/{uuid4()}"
    sent = {"Authorization": f"Bearer {api.key('installer')}", "Content-Type": "image/jpeg"}
    assert api.client.put(path, data=photo(shade), headers=sent).status_code == 200
    return path
