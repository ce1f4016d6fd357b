"""Archives as files: the same contents give the same bytes, and hostile files are refused."""

import io
import struct
import zipfile
import zlib
from collections.abc import Callable

import pytest

from service.errors import InvalidInput
from service.usecases.keeping.zipped import Reader, Writer
from tests.refusals import words

MEMBERS = {"README.txt": b"words\n" * 50, "photos/a.jpg": bytes(range(256)), "empty": b""}


def archive(members: dict[str, bytes] = MEMBERS) -> bytes:
    """What a Writer makes of these members."""
    file = io.BytesIO()
    writer = Writer(file)
    for name, content in members.items():
        writer.add(name, content)
    writer.close()
    return file.getvalue()


def other(change: Callable[[zipfile.ZipFile], None], compression: int = zipfile.ZIP_STORED) -> bytes:
    """A file made by other hands."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", compression) as made:
        change(made)
    return file.getvalue()


def refused(content: bytes) -> str:
    """Why a file is refused when it is opened."""
    with pytest.raises(InvalidInput) as error:
        Reader(io.BytesIO(content))
    return words(error.value.faults[0].detail)


def test_what_was_written_is_read_back() -> None:
    reader = Reader(io.BytesIO(archive()))
    assert {name: reader.read(name) for name in reader.sizes} == MEMBERS
    assert reader.sizes == {name: len(content) for name, content in MEMBERS.items()}


def test_the_python_library_s_own_reader_agrees() -> None:
    with zipfile.ZipFile(io.BytesIO(archive())) as file:
        assert file.testzip() is None
        assert file.namelist() == list(MEMBERS)
        assert {info.date_time for info in file.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_the_same_contents_give_the_same_bytes() -> None:
    assert archive() == archive()
    assert archive() != archive({**MEMBERS, "empty": b"x"})


@pytest.mark.parametrize(
    "content",
    [b"", b"PK", b"not a file of this kind at all, but long enough", archive()[:-1], archive() + b"x"],
    ids=["empty", "short", "text", "cut", "longer"],
)
def test_what_is_no_whole_file_is_refused(content: bytes) -> None:
    assert "not a whole ZIP file" in refused(content)


def test_a_bomb_is_refused_without_being_opened() -> None:
    bomb = other(lambda file: file.writestr("quote.json", b"0" * 50_000_000), zipfile.ZIP_DEFLATED)
    assert len(bomb) < 100_000
    assert "is compressed" in refused(bomb)


def test_a_small_member_that_claims_to_be_large_is_refused() -> None:
    content = archive({"quote.json": b"{}"})
    directory = content.index(b"PK\x01\x02")
    for field in (20, 24):
        place = directory + field
        content = content[:place] + struct.pack("<L", 2**28 + 1) + content[place + 4 :]
    assert "larger than" in refused(content)


def test_members_that_overlap_are_refused() -> None:
    content = bytearray(archive({"a": b"x" * 500, "b": b"y" * 500}))
    first, second = _directory(content)
    # Both members have the whole of the first one's bytes, and more of it than there is.
    for place in (first, second):
        content[place + 20 : place + 28] = struct.pack("<LL", 900, 900)
    content[second + 42 : second + 46] = content[first + 42 : first + 46]
    assert refused(bytes(content)) == "Its members overlap."


def _directory(content: bytearray) -> list[int]:
    first = content.index(b"PK\x01\x02")
    return [first, content.index(b"PK\x01\x02", first + 4)]


def test_too_many_members_are_refused_by_the_last_bytes_alone() -> None:
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 60_000, 60_000, 60_000 * 47, 0, 0)
    assert "more than 10\u202f000 members" in refused(bytes(60_000 * 47) + end)


def test_a_member_twice_is_refused() -> None:
    def twice(file: zipfile.ZipFile) -> None:
        file.writestr("a", b"1")
        with pytest.warns(UserWarning, match="Duplicate"):
            file.writestr("a", b"2")

    assert refused(other(twice)) == "A member is there twice."


def test_an_encrypted_member_is_refused() -> None:
    content = bytearray(archive({"a": b"x"}))
    place = content.index(b"PK\x01\x02") + 8
    content[place] |= 1
    assert refused(bytes(content)) == "This member is encrypted."


def test_a_comment_is_refused() -> None:
    def commented(file: zipfile.ZipFile) -> None:
        file.comment = b"hello"

    assert "without a comment" in refused(other(commented))


def test_a_flipped_bit_is_found_when_the_member_is_read() -> None:
    content = bytearray(archive({"a": b"x" * 100}))
    content[content.index(b"xxx")] ^= 1
    with pytest.raises(InvalidInput) as error:
        Reader(io.BytesIO(content)).read("a")
    assert words(error.value.faults[0].detail) == "This member is damaged."
    assert zlib.crc32(b"x" * 100) != zlib.crc32(b"y" + b"x" * 99)


def test_a_member_that_is_not_there_is_named() -> None:
    with pytest.raises(InvalidInput) as error:
        Reader(io.BytesIO(archive())).read("manifest.json")
    assert error.value.faults[0].pointer == "manifest.json"
