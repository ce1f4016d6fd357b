"""Objects are written to the end of a file, and found again by the rows that say where they are."""

import zlib
from io import BytesIO
from typing import Any

from service.documents.pdf.writing import OF_ALL, ROW, Reached, Writer


def written(count: int) -> tuple[BytesIO, Writer]:
    file: Any = BytesIO()
    writer = Writer(file, Reached(bytes=0))
    for number in range(count):
        writer.add(b"<</N %d>>" % number)
    writer.add(b"<<>>\nstream\nabc\nendstream", whole=True)
    writer.flush()
    return file, writer


def rows_of(writer: Writer) -> list[tuple[int, int, int]]:
    width, rows = sum(ROW), writer.rows()
    each = [rows[at : at + width] for at in range(0, len(rows), width)]
    return [(row[0], int.from_bytes(row[1:6], "big"), int.from_bytes(row[6:], "big")) for row in each]


def test_numbers_go_on_and_each_object_is_where_its_row_says() -> None:
    file, writer = written(1200)
    content, rows = file.getvalue(), rows_of(writer)
    assert len(rows) == 1200 + 1 + 3
    assert writer.number == OF_ALL + len(rows)
    for number, (kind, place, index) in enumerate(rows, OF_ALL):
        if kind == 1:
            assert content[place:].startswith(b"%d 0 obj\n" % number)
        else:
            _, place, _ = rows[place - OF_ALL]
            head, _, packed = content[place:].partition(b"stream\n")
            first = int(head.split(b"/First ")[1].split(b"/")[0].split(b">")[0])
            plain = zlib.decompressobj().decompress(packed)
            places = [int(each) for each in plain[:first].split()]
            assert places[2 * index] == number
            assert plain[first + places[2 * index + 1] :].startswith(b"<</N %d>>" % (number - OF_ALL))


def test_streams_stand_by_themselves() -> None:
    file, writer = written(1)
    assert [kind for kind, _, _ in rows_of(writer)] == [2, 1, 1]
    assert b"abc" in file.getvalue()
