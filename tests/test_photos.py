"""Photos of a place: copied under their own names, and told when they are gone or changed."""

import hashlib
import os

import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.place import photos


@pytest.fixture
def home(tmp_path):
    """A place's folder and one beside it."""
    (tmp_path / "place").mkdir()
    (tmp_path / "camera").mkdir()
    return tmp_path


def taken(home, name, data=b"a picture"):
    """A photo as a camera left it."""
    path = home / "camera" / name
    path.write_bytes(data)
    return path


def test_a_photo_keeps_its_name_and_another_one_of_that_name_gets_a_number(home):
    """The same content again is the same photo; three of one name stand beside each other."""
    first = photos.keep(home / "place", taken(home, "ash.jpg"))
    assert first == ("ash.jpg", hashlib.sha256(b"a picture").hexdigest())
    assert photos.keep(home / "place", taken(home, "ash.jpg")) == first
    assert photos.keep(home / "place", taken(home, "ash.jpg", b"other"))[0] == "ash-2.jpg"
    assert photos.keep(home / "place", taken(home, "ash.jpg", b"third"))[0] == "ash-3.jpg"
    assert photos.keep(home / "place", taken(home, "ash.jpg", b"other"))[0] == "ash-2.jpg"
    assert sorted(path.name for path in (home / "place" / "photos").iterdir()) == ["ash-2.jpg", "ash-3.jpg", "ash.jpg"]
    assert (home / "place" / "photos" / "ash.jpg").read_bytes() == b"a picture"


def test_a_name_that_no_other_system_could_hold_is_made_plain(home):
    """Signs that do not print or part folders become lines; no file leaves the folder."""
    name, _ = photos.keep(home / "place", taken(home, "a\u202eb:c\\d.jpg"))
    assert name == "a_b_c_d.jpg" and (home / "place" / "photos" / name).is_file()


@pytest.mark.parametrize("what", ["a pipe", "a text", "nothing", "a folder", "not there", "too large"])
def test_what_is_no_photo_is_refused(home, what):
    """Nothing is copied, no folder is made."""
    path = home / "camera" / ("x.txt" if what == "a text" else "x.jpg")
    if what == "a pipe":
        os.mkfifo(path)
    elif what == "a folder":
        path.mkdir()
    elif what == "too large":
        with path.open("wb") as out:
            out.truncate((photos.MOST_MB << 20) + 1)
    elif what != "not there":
        path.write_bytes(b"" if what == "nothing" else b"words")
    with pytest.raises(InputError):
        photos.keep(home / "place", path)
    assert not (home / "place" / "photos").exists()


def test_a_folder_of_photos_that_is_a_link_is_refused(home):
    """It may lead anywhere."""
    (home / "place" / "photos").symlink_to(home / "camera")
    with pytest.raises(InputError, match="is a link or a file"):
        photos.keep(home / "place", taken(home, "ash.jpg"))


def test_photos_that_are_gone_or_changed_are_told_by_their_lines(home):
    """One whole, one changed, one gone, one without a checksum, one whose name leads out of the folder."""
    told = [photos.keep(home / "place", taken(home, name, name.encode())) for name in ("a.jpg", "b.jpg", "c.jpg")]
    (home / "place" / "photos" / "b.jpg").write_bytes(b"another")
    (home / "place" / "photos" / "c.jpg").unlink()
    rows = [*told, ("a.jpg", None), ("../camera/a.jpg", None), (None, None)]
    lines = pd.DataFrame(rows, columns=["photo", "photo_check"]).assign(line=range(1, 7))
    assert photos.amiss(home / "place", lines) == [
        "Line 2 of the ledger: its photo b.jpg is not the file that was noted; look for it in an older copy.",
        "Line 3 of the ledger: its photo c.jpg is not in the folder photos; look for it in an older copy.",
        "Line 5 of the ledger: its photo ../camera/a.jpg is not in the folder photos; look for it in an older copy.",
    ]
