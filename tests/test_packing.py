"""Zip files of woodlot's own: unpacked with care, streamed in and out."""

import shutil
import stat
import tracemalloc
import zipfile
from collections import namedtuple
from datetime import date

import pytest

from woodlot.errors import PlaceError
from woodlot.place import bundle, packing


def entry(name, mode=0):
    """A file of a zip; mode: what kind of file it says it is."""
    told = zipfile.ZipInfo(name)
    told.external_attr = mode << 16
    return told


@pytest.mark.parametrize(
    "name",
    ["../out.txt", "/etc/out.txt", "a/../../out.txt", "a\\..\\out.txt", "C:/out.txt", "a//b", "./a", "a\n", "con ."],
)
def test_no_name_of_a_zip_leaves_the_folder(name, tmp_path):
    """Refused before a file is written."""
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as out:
        out.writestr("first.txt", "first")
        out.writestr(entry(name), "x")
    (tmp_path / "into").mkdir()
    with pytest.raises(PlaceError, match="Nothing of it was unpacked"):
        packing.unpack(tmp_path / "b.zip", tmp_path / "into")
    assert list((tmp_path / "into").iterdir()) == []


def test_links_doubles_and_what_the_disk_cannot_hold_are_refused(tmp_path, monkeypatch):
    """A link, a name given twice, more bytes than there is room."""
    into = tmp_path / "into"
    into.mkdir()
    with zipfile.ZipFile(tmp_path / "link.zip", "w") as out:
        out.writestr(entry("link", stat.S_IFLNK | 0o777), "/etc/passwd")
    with zipfile.ZipFile(tmp_path / "twice.zip", "w") as out:
        out.writestr("A.txt", "1")
        out.writestr("a.txt", "2")
    for name, words in (("link", "no plain file"), ("twice", "twice")):
        with pytest.raises(PlaceError, match=words):
            packing.unpack(tmp_path / f"{name}.zip", into)
    room = namedtuple("room", "free")(packing.LEFT_FREE + 10)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: room)
    with zipfile.ZipFile(tmp_path / "large.zip", "w") as out:
        out.writestr("a", "12345678901")
    with pytest.raises(PlaceError, match="Make room"):
        packing.unpack(tmp_path / "large.zip", into)
    assert list(into.iterdir()) == []


def test_a_size_that_lies_takes_no_memory_and_ends_in_words(tmp_path):
    """The zip says ten bytes where two hundred million come."""
    with zipfile.ZipFile(tmp_path / "b.zip", "w", zipfile.ZIP_DEFLATED) as out, out.open("zeros", "w") as zeros:
        for _ in range(200):
            zeros.write(bytes(1_000_000))
    data = (tmp_path / "b.zip").read_bytes().replace((200_000_000).to_bytes(4, "little"), (10).to_bytes(4, "little"))
    (tmp_path / "b.zip").write_bytes(data)
    (tmp_path / "into").mkdir()
    tracemalloc.start()
    with pytest.raises(PlaceError, match="damaged"):
        packing.unpack(tmp_path / "b.zip", tmp_path / "into")
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()
    assert sum(p.stat().st_size for p in (tmp_path / "into").iterdir()) < 2_000_000


def test_a_large_file_is_never_held_in_memory(tmp_path):
    """A raster of 64 MB goes in, and comes out again, in steps."""
    large = tmp_path / "large.tif"
    with large.open("wb") as file:
        file.truncate(64_000_000)
    tracemalloc.start()
    bundle.write(tmp_path / "b.zip", "Woods", date(2026, 11, 25), {"large.tif": large}, {}, {"page": "page"})
    (tmp_path / "into").mkdir()
    packing.unpack(tmp_path / "b.zip", tmp_path / "into")
    assert tracemalloc.get_traced_memory()[1] < 8_000_000
    tracemalloc.stop()
    assert (tmp_path / "into" / "Woods_2026-11-25" / "data" / "large.tif").stat().st_size == 64_000_000
