"""A certificate's file beside its record: the one is frozen at once, the other is made of it and kept."""

import hashlib

from tests.api import Api


def test_the_record_is_there_at_once_and_its_file_is_made_of_it_once(api: Api) -> None:
    issued = api.issue(api.worked()).json
    path = f"/v1/certificates/{issued['id']}"
    record = api.send("GET", f"{path}/record")
    assert hashlib.sha256(record.data).hexdigest() == issued["record_sha256"]
    files = [api.send("GET", f"{path}/document").data for _ in range(2)]
    assert files[0] == files[1]
    assert api.send("GET", path).json["file_sha256"] == hashlib.sha256(files[0]).hexdigest()
