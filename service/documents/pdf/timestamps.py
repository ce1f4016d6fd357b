"""Timestamps of an authority (RFC 3161), and with them all that shows in many years who signed and when.

With a timestamp a signature is PAdES baseline B-LTA (ETSI EN 319 142-1): over the signature lies a
timestamp, in the file lie the answers that certificates were not revoked, and over all of it lies
another timestamp. Of an authority that cannot be had, or whose answer is none, nothing is signed.

Connections are opened to the authority that the firm names, and to whoever its certificates and the
firm's own name for their revocation; never for a file that comes from outside.
"""

import asyncio
import http.client
import ssl
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import aiohttp
from asn1crypto import tsp, x509
from pyhanko.sign.general import SigningError
from pyhanko.sign.signers import PdfSignatureMetadata
from pyhanko.sign.signers.pdf_signer import DSSContentSettings, SigDSSPlacementPreference
from pyhanko.sign.timestamps import TimeStamper
from pyhanko_certvalidator import ValidationContext
from pyhanko_certvalidator.errors import PathBuildingError, PathError, RevokedError, ValidationError
from pyhanko_certvalidator.fetchers.aiohttp_fetchers import AIOHttpFetcherBackend
from pyhanko_certvalidator.fetchers.aiohttp_fetchers.util import LazySession
from pyhanko_certvalidator.fetchers.api import FetchLimits, OwnedFetcherBackend

from service.engine.ground.messages import message
from service.errors import SettingsWrong, Unavailable

WAIT_S = 10
LARGEST_TOKEN_BYTES = 64 * 1024
LARGEST_ANSWER_BYTES = 8 * 2**20
"""Of revocation: lists of large authorities have some megabytes, and go into each file."""
MOST_REQUESTS = 20
QUERY, REPLY = "application/timestamp-query", "application/timestamp-reply"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timestamps:
    """The authority that a firm names, and the certificates that it and the firm's own rest on."""

    url: str
    roots: tuple[x509.Certificate, ...]

    @property
    def client(self) -> TimeStamper:
        return _Client(self.url)

    def added_to(self, meant: Mapping[str, Any]) -> PdfSignatureMetadata:
        """What is meant by a signature, made one that can be checked for many years (B-LTA)."""
        return PdfSignatureMetadata(
            **meant,
            embed_validation_info=True,
            use_pades_lta=True,
            validation_context=self._vouched(),
            # Everything lies before the last timestamp, which then covers the whole file.
            dss_settings=DSSContentSettings(
                include_vri=False, placement=SigDSSPlacementPreference.TOGETHER_WITH_SIGNATURE
            ),
        )

    def _vouched(self) -> ValidationContext:
        """Who vouches for whom, asked now; a certificate whose revocation cannot be asked for is none."""
        limits = FetchLimits(max_requests=MOST_REQUESTS, max_cert_requests=0)
        # The library takes one that is made when it is needed, and does not say so.
        asking: Any = _Asking()
        backend = AIOHttpFetcherBackend(asking, per_request_timeout=WAIT_S, limits=limits)
        return ValidationContext(
            trust_roots=list(self.roots),
            allow_fetching=True,
            revocation_mode="hard-fail",
            fetcher_backend=OwnedFetcherBackend(backend),
        )


@contextmanager
def refusing(stamped: Timestamps | None) -> Iterator[None]:
    """What keeps a timestamp from being had, as errors of our own; without an authority as they come."""
    try:
        yield
    except (OSError, SigningError, PathError, ValidationError, ValueError, TypeError) as error:
        if stamped is None:
            raise
        raise _refusal(error, urllib.parse.urlsplit(stamped.url).hostname or "") from error


def _refusal(error: Exception, host: str) -> SettingsWrong | Unavailable:
    causes = tuple(_causes(error))
    if any(isinstance(each, RevokedError) for each in causes):
        return SettingsWrong(message("documents.revoked"))
    if any(isinstance(each, PathBuildingError) for each in causes):
        return SettingsWrong(message("documents.nobody_vouches"))
    return Unavailable(message("documents.no_timestamp", authority=host))


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__ or error.__context__


class _Still(urllib.request.HTTPRedirectHandler):
    """Who is sent elsewhere stays: the firm named one address."""

    def redirect_request(self, *_: Any, **__: Any) -> None:
        return None


class _Answer(aiohttp.ClientResponse):
    """An answer on revocation, read no further than its limit."""

    async def read(self) -> bytes:
        content = b""
        async for piece in self.content.iter_chunked(64 * 1024):
            content += piece
            if len(content) > LARGEST_ANSWER_BYTES:
                self.close()
                raise aiohttp.ClientPayloadError("too large for an answer on revocation")
        return content


class _Asking(LazySession):
    """Asks on revocation; made when it is first needed, within the loop that it belongs to."""

    def __init__(self) -> None:
        self._session: aiohttp.ClientSession | None = None

    def get_session(self) -> aiohttp.ClientSession:
        if self._session is None:
            connector = aiohttp.TCPConnector(ssl=ssl.create_default_context())
            self._session = aiohttp.ClientSession(connector=connector, response_class=_Answer)
        return self._session


class _Client(TimeStamper):
    """Asks an authority over HTTP; an answer has its limits of time and size."""

    def __init__(self, url: str) -> None:
        super().__init__()  # type: ignore[no-untyped-call]
        self._url = url

    async def async_request_tsa_response(self, req: tsp.TimeStampReq) -> tsp.TimeStampResp:
        """Ask for a timestamp; raises OSError where there is no answer, ValueError where it is none."""
        return await asyncio.to_thread(self._asked, req.dump())

    def _asked(self, query: bytes) -> tsp.TimeStampResp:
        asking = urllib.request.Request(self._url, query, {"Content-Type": QUERY, "Accept": REPLY})  # noqa: S310
        opener = urllib.request.build_opener(_Still, urllib.request.ProxyHandler({}))
        try:
            with opener.open(asking, timeout=WAIT_S) as answer:
                content = answer.read(LARGEST_TOKEN_BYTES + 1)
        except urllib.error.HTTPError as error:
            error.close()
            raise
        except http.client.HTTPException as error:
            raise OSError("no answer of HTTP") from error
        if len(content) > LARGEST_TOKEN_BYTES:
            raise ValueError("too large for a timestamp")
        return tsp.TimeStampResp.load(content, strict=True)
