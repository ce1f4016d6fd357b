"""Every object is written once, and nothing of it is lost."""

from io import BytesIO

import pikepdf
import pydyf

from service.documents.pdf.packing import pack


def with_streams() -> tuple[pydyf.PDF, bytes]:
    """A PDF with a stream to compress and one to leave as it is; the first one's content."""
    pdf = pydyf.PDF()
    pieces = ["0 0 m", b"10 10 l", 7, pydyf.String("endstream")]
    pdf.add_object(pydyf.Stream(pieces, compress=True))
    pdf.add_object(pydyf.Stream([b"plain"]))
    return pdf, b"0 0 m\n10 10 l\n7\n(endstream)"


def written(pdf: pydyf.PDF) -> bytes:
    out = BytesIO()
    pdf.write(out, identifier=True, compress=True)
    return out.getvalue()


def test_streams_are_as_they_were_but_compressed() -> None:
    pdf, content = with_streams()
    pack(pdf)
    with pikepdf.open(BytesIO(written(pdf))) as read:
        packed, plain = [each for each in read.objects if isinstance(each, pikepdf.Stream)][:2]
        assert packed.read_bytes() == content
        assert packed.Filter == "/FlateDecode"
        assert plain.read_raw_bytes() == b"plain"


def test_the_file_has_what_the_writer_would_put_in_by_itself() -> None:
    (ours, _), (its, _) = with_streams(), with_streams()
    pack(ours)
    with pikepdf.open(BytesIO(written(ours))) as one, pikepdf.open(BytesIO(written(its))) as other:
        kinds = [[(str(type(each)), repr(each)[:60]) for each in pdf.objects] for pdf in (one, other)]
        assert len(kinds[0]) == len(kinds[1])
        assert one.trailer.keys() == other.trailer.keys()


def test_objects_are_not_written_anew() -> None:
    pdf, _ = with_streams()
    pack(pdf)
    pdf.catalog["Lang"] = pydyf.String("en")
    assert b"/Lang" not in written(pdf)
