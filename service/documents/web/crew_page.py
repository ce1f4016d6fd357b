"""The crew's page: static files that work without a network once they were fetched.

The files are the same for everybody: who opens the page is told by the token in its address's
fragment, which never reaches a server. Together they weigh no more than a photo.
"""

import hashlib
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from service.documents.web.pages import ASSETS

KINDS: Mapping[str, str] = MappingProxyType(
    {
        "css": "text/css; charset=utf-8",
        "html": "text/html; charset=utf-8",
        "js": "text/javascript; charset=utf-8",
        "svg": "image/svg+xml",
        "webmanifest": "application/manifest+json",
    }
)
FIRST, KEEPER = "index.html", "worker.js"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@cache
def files() -> Mapping[str, bytes]:
    """The page's files by their names; the worker is told their digest, and so keeps them together."""
    found = {each.name: each.read_bytes() for each in (ASSETS / "crew").iterdir() if each.is_file()}
    keeper = found.pop(KEEPER).decode()
    version = hashlib.sha256(b"".join(found[name] for name in sorted(found))).hexdigest()[:16]
    kept = " ".join("./" if name == FIRST else name for name in sorted(found))
    told = keeper.replace("{{ version }}", version).replace("{{ files }}", kept)
    return MappingProxyType({**found, KEEPER: told.encode()})


def kind(name: str) -> str:
    """The media type of one of the page's files."""
    return KINDS[name.rpartition(".")[2]]
