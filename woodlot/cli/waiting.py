"""What a verb that takes long is at: one line on standard error that goes away again, and only on a terminal.

shown   while it is entered, the chapter at work is shown from the third second on
"""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import RLock, Timer
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.status import Status

__all__ = ["shown"]

#: What is ready sooner shows nothing.
AFTER_S = 2.0


class _Line:
    """The line, and the chapters at work: of those that wait for one another the last is shown."""

    def __init__(self, console: "Console | None" = None):
        self.console = console
        self.status: Status | None = None
        self.at_work: list[str] = []
        self.late, self.lock = False, RLock()

    @contextmanager
    def chapter(self, words: str) -> Iterator[None]:
        """Words shown until the chapter is worked out."""
        with self.lock:
            self.at_work.append(words)
            self.draw()
        try:
            yield
        finally:
            with self.lock:
                self.at_work.pop()
                self.draw()

    def is_late(self) -> None:
        """From now on chapters are shown."""
        with self.lock:
            self.late = True
            self.draw()

    def draw(self) -> None:
        """Show the chapter at work, or nothing where none is."""
        if self.late and self.at_work:
            words = f"{self.at_work[-1]} ..."
            if self.status is None:
                from rich.console import Console

                self.status = (self.console or Console(stderr=True)).status(words, spinner="line")
                self.status.start()
            else:
                self.status.update(words)
        elif self.status is not None:
            self.status.stop()
            self.status = None


@contextmanager
def shown(quiet: bool, console: "Console | None" = None) -> Iterator[None]:
    """Show the chapter at work while this is entered; quiet: show nothing."""
    if quiet:
        yield
        return
    from woodlot.season import at_work

    line = _Line(console)
    timer = Timer(AFTER_S, line.is_late)
    timer.daemon = True
    timer.start()
    token = at_work.set(line.chapter)
    try:
        yield
    finally:
        timer.cancel()
        at_work.reset(token)
