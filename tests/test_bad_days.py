"""Runs that are killed and disks that are full: a small draw of ``tests/trials/kills.py``, and that it can fail."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "trials"))
import kills

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="children are made by fork and ended by signals")


def clean(found: dict[str, int]) -> bool:
    """Whether nothing went wrong, and somebody was killed where anybody should be."""
    return not any(number for what, number in found.items() if what != "killed") and found.get("killed", 1) > 0


def test_a_note_is_whole_or_not_there(tmp_path):
    """Killed at forty calls of writing one: what was acknowledged stands once, and the seal knows it."""
    assert clean(kills.killed_notes(40, 1, kills.a_place(tmp_path)))


def test_results_are_old_or_new(tmp_path):
    """Killed at twenty calls of the swap: the list of the folder vouches for every file of one run."""
    assert clean(kills.killed_swaps(20, 1, kills.a_place(tmp_path)))


def test_writers_at_once_lose_nothing(tmp_path):
    """Three hands by twenty lines."""
    assert clean(kills.many_writers(3, 20, kills.a_place(tmp_path)))


def test_a_full_disk_loses_nothing(tmp_path):
    """Files limited to sixteen sizes."""
    assert clean(kills.full_disk(16, kills.a_place(tmp_path)))


def test_the_trial_sees_a_writer_that_loses(tmp_path, monkeypatch):
    """A writer that writes the whole ledger over itself, without a file beside, is found out."""
    from woodlot import place

    def careless(folder, note, today):
        path = folder / "ledger.csv"
        text = path.read_text()
        path.write_text("")
        import os

        handle = os.open(path, os.O_WRONLY)
        os.write(handle, text.encode())
        os.fsync(handle)
        os.close(handle)

    home = kills.a_place(tmp_path)
    place.append_note(home, {"kind": "seen", "who": "first", "text": "a bear"}, kills.DAY)
    monkeypatch.setattr(place, "append_note", careless, raising=False)
    assert kills.killed_notes(12, 3, home)["lost"] > 0
