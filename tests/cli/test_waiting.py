"""What a long verb is at: shown on a terminal after a while, gone at the end, and never in a pipe."""

import io
import os
import pty
import subprocess
import sys
import time
from types import SimpleNamespace

import pytest
from rich.console import Console

from woodlot.cli import options, waiting
from woodlot.season import at_work

SCRIPT = "import sys; from woodlot.cli import main, waiting; waiting.AFTER_S = 0.0; main(sys.argv[1:])"


def drawn(after_s, monkeypatch, quiet=False):
    """What is written on a terminal while two chapters are at work, one within the other, each for a while."""
    monkeypatch.setattr(waiting, "AFTER_S", after_s)
    console = Console(file=io.StringIO(), force_terminal=True, width=80)
    with waiting.shown(quiet, console):
        with at_work.get()("Planning the cuts"):
            time.sleep(0.3)
            with at_work.get()("Counting what stands"):
                time.sleep(0.3)
        between = console.file.getvalue()
        time.sleep(0.3)
        assert console.file.getvalue() == between, "nothing is drawn while no chapter is at work"
    return between


def test_the_chapter_at_work_is_shown_and_taken_away(monkeypatch):
    """The inner chapter takes the place of the outer one; the line is erased and the cursor is back."""
    text = drawn(0.0, monkeypatch)
    assert text.index("Planning the cuts ...") < text.index("Counting what stands ...")
    assert text.rstrip().endswith(("\x1b[2K", "\x1b[?25h")) and "\x1b[?25h" in text


def test_what_is_ready_soon_or_quiet_shows_nothing(monkeypatch):
    """Not before its time, not where nobody looks; and no chapter is watched afterwards."""
    before = at_work.get()
    assert drawn(60.0, monkeypatch) == "" and drawn(0.0, monkeypatch, quiet=True) == ""
    assert at_work.get() is before


@pytest.mark.parametrize(("out", "err"), [(False, True), (True, False), (True, True)])
def test_both_ends_must_be_a_terminal(out, err, monkeypatch):
    """A screen that goes into a file or a pipe stays alone, and so does a standard error that does."""
    for name, is_one in (("stdout", out), ("stderr", err)):
        monkeypatch.setattr(sys, name, SimpleNamespace(isatty=lambda is_one=is_one: is_one))
    assert options._at_a_terminal() == (out and err)


def run(words, *, terminal):
    """Standard output and standard error of a verb, its standard error on a terminal or in a pipe."""
    ours, theirs = pty.openpty()
    out = theirs if terminal else subprocess.PIPE
    child = subprocess.Popen(
        [sys.executable, "-c", SCRIPT, *words],
        stdout=out,
        stderr=theirs if terminal else subprocess.PIPE,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "80"},
    )
    os.close(theirs)
    if not terminal:
        told = child.communicate()
        os.close(ours)
        return told
    seen = b""
    try:
        while part := os.read(ours, 4096):
            seen += part
    except OSError:  # the other end was closed
        pass
    os.close(ours)
    assert child.wait() == 0
    return seen, b""


@pytest.mark.slow
@pytest.mark.parametrize("more", [[], ["--json"]])
def test_a_pipe_and_json_are_left_alone(more, small_place):
    """With nothing to wait for: a pipe has the screen and an empty standard error, and --json has it on a terminal."""
    words = ["cruise", str(small_place.folder), "--as-of", "2026-11-25", *more]
    screen, errors = run(words, terminal=False)
    assert errors == b"" and b"..." not in screen
    typed, _ = run(words, terminal=True)
    if more:
        assert typed.replace(b"\r\n", b"\n") == screen
    else:
        assert b"Reading the files ..." in typed and b"Counting what stands ..." in typed
        assert typed.replace(b"\r\n", b"\n").endswith(screen)
