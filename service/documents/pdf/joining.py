"""Pieces of a paper joined to one file (ISO 32000-1): one tree of pages, one of tags, one outline.

Each piece is written to the end of the file by the process that laid it out, its objects numbered on from
those before, and is then forgotten. What holds the pieces together has the first numbers and is written last.
"""

import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field, replace
from io import BufferedRandom
from typing import Any

import pydyf

from service.documents.pdf.outline import Bookmark, bookmarks, outline
from service.documents.pdf.packing import pack
from service.documents.pdf.writing import OF_ALL, ROW, Reached, Writer, deflated, row

PAGES, CATALOG, TAGS, DOCUMENT, PARENTS, OUTLINE, INFO = range(1, OF_ALL)
NULL = b"null"
# A string, which is left as it is, or a reference.
REFERENCE = re.compile(rb"(\((?:\\.|[^\\()])*\))|\b(\d+) 0 R\b", re.DOTALL)
OF_THE_CATALOG = ("Lang", "ViewerPreferences", "MarkInfo", "Metadata", "OutputIntents", "AF", "Names")


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A piece in the file: the numbers of its pages, its tags and its parents; `rows` says where all is.

    `catalog` and `info` are what the first piece says of the whole.
    """

    reached: Reached
    pages: int
    tags: int
    parents: int
    headings: tuple[Bookmark, ...]
    catalog: str
    info: str
    rows: bytes = field(repr=False)

    def told(self) -> bytes:
        """As bytes, to be told to another process."""
        plain = asdict(replace(self, rows=b""))
        return json.dumps({**plain, "rows": None}).encode() + b"\n" + self.rows


def heard(told: bytes) -> Joined:
    """A piece as it was told of."""
    line, _, rows = told.partition(b"\n")
    plain = json.loads(line)
    plain["reached"] = Reached(**plain["reached"])
    plain["headings"] = tuple(Bookmark(**each) for each in plain["headings"])
    return Joined(**{**plain, "rows": rows})


def append(document: Any, pdf: pydyf.PDF, file: BufferedRandom, so_far: Reached) -> Joined:
    """Write a laid out piece to the end of the file; of the renderer's document nothing is left."""
    roots = _unjoined(pdf, so_far)
    headings = tuple(bookmarks(document, pdf, so_far.objects))
    catalog = {name: pdf.catalog[name] for name in OF_THE_CATALOG if name in pdf.catalog}
    said = [
        _shifted(pydyf.Dictionary(each).data, so_far.objects).decode("latin-1")
        for each in (catalog, pdf.info)
    ]
    pack(pdf)
    writer = Writer(file, so_far)
    for each in pdf.objects:
        writer.add(_object_of(each, so_far.objects), whole=each.free != "f" and not each.compressible)
    del pdf.objects[1:]
    writer.flush()
    reached = Reached(
        bytes=writer.at,
        objects=writer.number,
        pages=so_far.pages + len(document.pages),
        parents=so_far.parents + roots["count"],
    )
    return Joined(
        reached=reached,
        pages=so_far.objects + 1,
        tags=so_far.objects + roots["tags"],
        parents=so_far.objects + roots["parents"],
        headings=headings,
        catalog=said[0],
        info=said[1],
        rows=writer.rows(),
    )


def _unjoined(pdf: pydyf.PDF, so_far: Reached) -> dict[str, int]:
    """Take off a piece what the whole has once, number its parents on, and name what it hangs from."""
    root = _at(pdf, pdf.catalog["StructTreeRoot"])
    tags, parents = _at(pdf, root["K"][0]), _at(pdf, root["ParentTree"])
    outline = pdf.catalog.get("Outlines")
    for each in pdf.objects:
        _number_on(each, so_far)
    count = len(parents["Nums"]) // 2
    parents["Nums"][::2] = [number + so_far.parents for number in parents["Nums"][::2]]
    parents["Limits"] = pydyf.Array([so_far.parents, so_far.parents + count - 1])
    # References to what the whole has are not counted on: `J` stands for the `R` that they get at last.
    tags["S"], tags["P"], pdf.pages["Parent"] = "/Part", f"{DOCUMENT} 0 J", f"{PAGES} 0 J"
    of_the_whole = [pdf.catalog["Metadata"]] if so_far.pages else []
    gone = [pdf.catalog, root, *(_at(pdf, each) for each in (outline, *of_the_whole) if each)]
    gone += [each for each in pdf.objects if isinstance(each, dict) and "Dest" in each and "Title" in each]
    for each in gone:
        pdf.objects[each.number] = _nothing(each.number)
    return {"tags": tags.number, "parents": parents.number, "count": count}


def _number_on(each: Any, so_far: Reached) -> None:
    if not isinstance(each, dict):
        return
    for name in ("StructParents", "StructParent"):
        if name in each:
            each[name] += so_far.parents
    if isinstance(each.get("ID"), pydyf.String):
        # Cells name their headings by the same strings.
        each["ID"].string = f"{so_far.objects}-{each['ID'].string}"


def _nothing(number: int) -> pydyf.Object:
    nothing = pydyf.Array()
    nothing.number = number
    return nothing


def _at(pdf: pydyf.PDF, reference: bytes) -> Any:
    return pdf.objects[int(reference.split()[0])]


def _object_of(each: Any, offset: int) -> bytes:
    """What stands between `obj` and `endobj`, its references counted on."""
    if each.free == "f":
        return NULL
    if each.compressible:
        return _shifted(each.data, offset).replace(b" 0 J", b" 0 R")
    head, mark, content = bytes(each.data).partition(b"stream\n")
    return _shifted(head, offset) + mark + content


def _shifted(data: bytes, offset: int) -> bytes:
    return REFERENCE.sub(lambda found: found[1] or b"%d 0 R" % (int(found[2]) + offset), data)


def finish(file: BufferedRandom, pieces: Sequence[Joined]) -> None:
    """Write what holds the pieces together, and the end of the file."""
    writer = Writer(file, pieces[-1].reached)
    for number, data in _whole(pieces, writer.number):
        writer.add(data, number=number)
        writer.number = max(writer.number, number + 1)
    writer.flush()
    mine = writer.rows()
    cut = (OF_ALL - 1) * sum(ROW)
    rows = [row(0, 0, 65535), mine[:cut], *(piece.rows for piece in pieces), mine[cut:]]
    file.seek(0)
    digest = pydyf.String(hashlib.file_digest(file, "sha256").hexdigest()[:32]).data
    file.seek(0, 2)
    rows.append(row(1, writer.at, 0))
    said = {
        "Type": "/XRef",
        "Size": writer.number + 1,
        "W": pydyf.Array(ROW),
        "Root": f"{CATALOG} 0 R",
        "Info": f"{INFO} 0 R",
        "ID": pydyf.Array([digest, digest]),
    }
    file.write(b"%d 0 obj\n%b\nendobj\n" % (writer.number, deflated(b"".join(rows), said)))
    file.write(b"startxref\n%d\n%%%%EOF\n" % writer.at)


def _whole(pieces: Sequence[Joined], following: int) -> Iterator[tuple[int, bytes]]:
    """The objects that the whole has once, by their numbers; lines of the outline follow those of pieces."""
    first = pieces[0]
    pages = {"Type": "/Pages", "Kids": _references(each.pages for each in pieces)}
    yield PAGES, _data({**pages, "Count": pieces[-1].reached.pages})
    whole = f"/Type /Catalog/Pages {PAGES} 0 R/StructTreeRoot {TAGS} 0 R/Outlines {OUTLINE} 0 R"
    yield CATALOG, f"<<{whole}{first.catalog[2:]}".encode("latin-1")
    yield TAGS, _data({"Type": "/StructTreeRoot", "K": f"{DOCUMENT} 0 R", "ParentTree": f"{PARENTS} 0 R"})
    document = {"Type": "/StructElem", "S": "/Document", "P": f"{TAGS} 0 R"}
    yield DOCUMENT, _data({**document, "K": _references(each.tags for each in pieces)})
    yield PARENTS, _data({"Kids": _references(each.parents for each in pieces)})
    headings = [each for piece in pieces for each in piece.headings]
    for number, said in outline(headings, number=OUTLINE, following=following):
        yield number, _data(said)
    yield INFO, first.info.encode("latin-1")


def _references(numbers: Iterable[int]) -> pydyf.Array:
    return pydyf.Array([f"{number} 0 R" for number in numbers])


def _data(said: dict[str, Any]) -> bytes:
    return bytes(pydyf.Dictionary(said).data)
