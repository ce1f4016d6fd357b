"""The kinds of problem that an answer may be: each has an address, and a page there that says what to do.

The pages are English, as the whole documentation for programmers is.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of problem: what it means to who is answered it, and what he does then."""

    name: str
    status: int
    meaning: str
    remedy: str

    @property
    def path(self) -> str:
        """Where its page is."""
        return f"/problems/{self.name}"


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            name="malformed",
            status=400,
            meaning="The request cannot be read: no JSON, a name that comes twice in an object, a body that "
            "was cut short, or a header that is required and missing. Nothing was stored.",
            remedy="Mend the program that sends it. Sending it again as it is will not help.",
        ),
        Kind(
            name="not-identified",
            status=401,
            meaning="There is no key, or it is not one that opens anything now: mistyped, ended or rotated.",
            remedy="Send `Authorization: Bearer KEY`. The operator makes a key with `baywright keys add`.",
        ),
        Kind(
            name="not-allowed",
            status=403,
            meaning="The key is good, and its roles may not do this.",
            remedy="Use a key of a role that may: each operation of the documentation names them.",
        ),
        Kind(
            name="not-known",
            status=404,
            meaning="There is nothing at this address for this key. What belongs to another firm answers "
            "alike.",
            remedy="Look at the id or number. Lists answer what there is.",
        ),
        Kind(
            name="no-such-method",
            status=405,
            meaning="There is something at this address, but it does not take this method.",
            remedy="The header `Allow` names those that it takes.",
        ),
        Kind(
            name="conflict",
            status=409,
            meaning="It is well said, and cannot be done as things stand: an offer that has lapsed, an id "
            "that was used for other content, a correction of what was corrected already.",
            remedy="Read the state again; `detail` names what stands in the way.",
        ),
        Kind(
            name="conditions-unmet",
            status=409,
            meaning="A certificate was asked for, and something that it would have to say is not so, or was "
            "not said. `conditions` lists all of it, with the part and what it is about.",
            remedy="Record what is missing or do the work; where a condition can be conceded, the office may "
            "grant that with a reason, which the certificate prints.",
        ),
        Kind(
            name="erased",
            status=410,
            meaning="The client's personal data were erased, and this with them. The record itself stands.",
            remedy="Nothing brings it back. The client's own file can still be checked at "
            "`/verify/{number}`.",
        ),
        Kind(
            name="stale",
            status=412,
            meaning="It has changed since it was read: `If-Match` names a version that is no longer the "
            "present one.",
            remedy="Read it again, look at what changed, and send the change with the new `ETag`.",
        ),
        Kind(
            name="too-large",
            status=413,
            meaning="The body is larger than the service takes.",
            remedy="Send it in parts. The operator's settings hold the limit.",
        ),
        Kind(
            name="wrong-kind",
            status=415,
            meaning="The body is of a media type that this operation does not read.",
            remedy="Send the media type that the documentation names for it.",
        ),
        Kind(
            name="invalid-input",
            status=422,
            meaning="The body can be read, and says what cannot be. `errors` names each field by a JSON "
            "pointer (RFC 6901), with a code and its values beside the words. Nothing was stored, and "
            "nothing was filled in.",
            remedy="Mend the fields that are named and send it again.",
        ),
        Kind(
            name="precondition-missing",
            status=428,
            meaning="This change must name the version that it changes, and `If-Match` is missing.",
            remedy="Read it, and send its `ETag` as `If-Match`.",
        ),
        Kind(
            name="too-many-requests",
            status=429,
            meaning="More requests came by this key, or from this address, than the service answers in a "
            "minute.",
            remedy="Wait for as long as `Retry-After` says.",
        ),
        Kind(
            name="unexpected",
            status=500,
            meaning="Something that nobody foresaw. The answer holds the request's id and nothing of the "
            "inside.",
            remedy="Tell the operator the id in `instance`: the log names the cause under it.",
        ),
        Kind(
            name="unavailable",
            status=503,
            meaning="The service cannot do it just now: its database is busy, restarting or full, a "
            "setting that it needs is missing, or a document was tried too often. "
            "Unless `detail` says that nobody knows, nothing was "
            "stored.",
            remedy="Send it again after `Retry-After`, under the same `Idempotency-Key`.",
        ),
    )
}

# Of two kinds with a status the first is the plainer.
_BY_STATUS: Mapping[int, Kind] = {kind.status: kind for kind in reversed(tuple(KINDS.values()))}


def kind_of(status: int) -> Kind | None:
    """The kind that an answer of this status is of, where nothing more is known of it."""
    return _BY_STATUS.get(status)
