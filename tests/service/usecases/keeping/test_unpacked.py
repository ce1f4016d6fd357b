"""What is read from an archive is what was written to it; how it is refused, imports tell."""

import io
from datetime import UTC, datetime, timedelta

from service.errors import InvalidInput
from service.usecases.keeping.archives import PARTS
from service.usecases.keeping.unpacked import unpacked
from tests.api import Api
from tests.refusals import refused


def test_an_archive_is_read_as_it_was_written(api: Api) -> None:
    job = api.job()
    with api.send("GET", f"/v1/jobs/{job['id']}/archive") as answer:
        archive = io.BytesIO(answer.data)
    now = datetime.now(UTC)
    read = unpacked(archive, now)
    assert read.parts.keys() == PARTS.keys()
    assert (str(read.parts["job"]["id"]), read.parts["job"]["number"]) == (job["id"], job["number"])
    assert [row["kind"] for row in read.parts["seals"]][:2] == ["offer", "acceptance"]
    assert read.chain == {}
    with refused(InvalidInput, "later than now"):
        unpacked(archive, now - timedelta(days=1))
