"""Photos that entries name and that have not arrived: said before a certificate is issued without them."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Annotated

from service.engine.site.entries import Reclaimed
from service.engine.site.entry import Entry
from service.engine.site.ledger import Ledger


@dataclass(frozen=True, slots=True, kw_only=True)
class AwaitedPhoto:
    """A photo that an entry names, still on somebody's phone."""

    id: Annotated[str, "id of the photo"]
    entry: Annotated[str, "id of the entry that names it"]
    by: Annotated[str, "who recorded that entry"]
    cavities: Annotated[tuple[str, ...], "the parts that the entry is of; none: the job"]


def awaited_photos(
    *, ledger: Ledger, arrived: Collection[str], parts: Collection[str]
) -> Iterator[AwaitedPhoto]:
    """The photos of these parts and of none in particular, by the entries that stand."""
    for entry in ledger.entries:
        of = _parts(entry)
        if of and set(of).isdisjoint(parts):
            continue
        for photo in entry.photos:
            if photo not in arrived:
                yield AwaitedPhoto(id=photo, entry=entry.id, by=entry.by, cavities=of)


def _parts(entry: Entry) -> tuple[str, ...]:
    if isinstance(entry, Reclaimed):
        return entry.cavities
    label: str | None = getattr(entry, "cavity", None)  # that of a hold point may be none
    return (label,) if label else ()
