"""Pages by cursor: the next one is named in a Link header (RFC 8288)."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from flask import request


def next_link(page: Mapping[str, Any]) -> dict[str, str]:
    """The Link header of a page; empty on the last one."""
    if page["next"] is None:
        return {}
    query = urlencode({**request.args.to_dict(), "after": page["next"]})
    return {"Link": f'<{request.path}?{query}>; rel="next"'}
