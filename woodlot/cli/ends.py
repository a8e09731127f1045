"""How a run ends that nobody planned: stopped by a hand or by the system, or by a mistake of woodlot's own.

in_words    while it is entered, such an end is told in words, with what was written and what was not
INTERRUPTED, TERMINATED, MISTAKE   the exit codes of these ends
DETAILS     set to 1 in the environment, it lets a mistake through with its traceback
"""

import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from threading import current_thread, main_thread
from typing import Any, NoReturn

import click

__all__ = ["DETAILS", "INTERRUPTED", "MISTAKE", "TERMINATED", "in_words"]

INTERRUPTED, TERMINATED, MISTAKE = 130, 143, 1
DETAILS = "WOODLOT_TRACEBACK"
MOST_NAMED = 6


class _Terminated(BaseException):
    """The system asks woodlot to end."""


def _terminate(number: int, frame: Any) -> NoReturn:
    signal.signal(number, signal.SIG_IGN)  # what is on its way out cleans up first
    raise _Terminated


@contextmanager
def _heard() -> Iterator[None]:
    """Being asked to end is an error like another, so that locks are given back and half-written files go away."""
    if current_thread() is not main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, _terminate)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


@contextmanager
def in_words(verb: Callable[[], str]) -> Iterator[None]:
    """Tell in words how a run ended that did not come to its end; verb: what was run, once it is known."""
    try:
        with _heard():
            yield
    except (click.exceptions.Exit, click.ClickException, BrokenPipeError):
        raise
    except (KeyboardInterrupt, click.Abort):
        _say(f"Stopped by you. {_written()}")
        code = INTERRUPTED
    except _Terminated:
        _say(f"Stopped by the system. {_written()}")
        code = TERMINATED
    except MemoryError:
        _say(f"Stopped: this computer has too little memory for {verb()}. {_written()}")
        code = MISTAKE
    except Exception as error:
        if os.environ.get(DETAILS) == "1":
            raise
        kind = f"{type(error).__name__}: {str(error).strip()[:200]}".rstrip(": ")
        _say(
            f"Stopped: {verb()} made a mistake of its own; your files are not at fault. {_written()} To see "
            f"where, for whoever mends it, run it again with {DETAILS}=1 set. It says: {' '.join(kind.split())}"
        )
        code = MISTAKE
    else:
        return
    raise click.exceptions.Exit(code)


def _say(text: str) -> None:
    from woodlot.cli import show

    with suppress(OSError, ValueError):  # the screen may be gone too
        show.say(text, hang=4, err=True)


def _written() -> str:
    """What this run has written, in words."""
    if "woodlot.place.swapping" not in sys.modules:  # nothing that writes was even opened
        return "Nothing was written."
    from woodlot.place.swapping import written

    files = list(dict.fromkeys(map(str, written())))
    if not files:
        return "Nothing was written."
    more = f" and {len(files) - MOST_NAMED:,} more" if len(files) > MOST_NAMED else ""
    named = ", ".join(files[:MOST_NAMED])
    return f"Written before, whole: {named}{more}. Nothing else was."
