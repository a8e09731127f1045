"""What a verb puts on the screen: sentences and tables as wide as the terminal, CSV, JSON, and the screen of faults.

plain_faults      decorator of a verb: our errors become words and exit code 1, cautions go to standard error
say, fact, table  sentences, answers and tables in plain ASCII letters (names of people and places stay as they are)
wants             what the house wants, as fell and cut show it
deliver           --csv and --json
"""

import functools
import json
import re
import shutil
import sys
import textwrap
import warnings
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import is_dataclass
from datetime import date
from math import isfinite
from pathlib import Path
from typing import Any

import click

from woodlot.answers.as_json import as_json
from woodlot.answers.want_types import Wanted
from woodlot.errors import Fault, PlaceError, WoodlotError, WoodlotWarning
from woodlot.estimate import Estimate
from woodlot.say import layout, reasons, tables, words
from woodlot.say.column import Table, declared, is_missing, texts

__all__ = ["deliver", "fact", "json_ready", "notes", "plain_faults", "say", "table", "title", "wants", "width"]

#: Columns without a terminal (a pipe, a file), and the bounds within which a terminal's own number is followed.
PIPED, LEAST, MOST = 80, 40, 140
#: Sentences are no wider than this: from the end of a longer line the eye does not find the next one.
READ = 100
#: The deepest indent on a narrow screen.
SHALLOW = 6
MOST_FAULTS = 50
_ASCII = str.maketrans({"–": "-", "—": "-", "×": "x", "≈": "~", "†": "m", "’": "'", "\u00a0": " ", "\u2060": None})


def _clean(text: str) -> str:
    """Our own typography in ASCII; control signs (also those that would move the cursor) as ?."""
    plain = text.translate(_ASCII)
    return "".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in plain)


def _put(text: str, err: bool = False) -> None:
    stream = sys.stderr if err else sys.stdout
    encoding = getattr(stream, "encoding", None) or "utf-8"
    click.echo(_clean(text).encode(encoding, "replace").decode(encoding), err=err)


def width() -> int:
    """Columns of the screen: COLUMNS where it is set, else the terminal's."""
    return min(max(shutil.get_terminal_size((PIPED, 0)).columns, LEAST), MOST)


def say(text: str = "", indent: int = 0, hang: int | None = None, err: bool = False) -> None:
    """A sentence or more, wrapped at the screen's width; ``hang`` is the indent of the lines after the first.

    A word longer than a line, as a path is, stays whole on a line of its own, and so does a command between backticks
    where it fits: in pieces it could not be copied.
    """
    if not text:
        _put("", err=err)
        return
    wide, later = width(), indent if hang is None else hang
    if wide < layout.NARROW:
        indent, later = min(indent, SHALLOW), min(later, SHALLOW)
    room = min(wide, READ) - later

    def whole(command: re.Match[str]) -> str:
        return command[0].replace(" ", "\u00a0") if len(command[0]) < room else command[0]

    for line in textwrap.wrap(
        re.sub("`[^`]+`", whole, text),
        min(wide, READ),
        initial_indent=" " * indent,
        subsequent_indent=" " * later,
        break_long_words=False,
        break_on_hyphens=False,
    ):
        _put(line, err=err)


def fact(topic: str, number: str, *why: str, at: int = 12) -> None:
    """An answer: its topic, its number from column ``at`` on, and why below it, each part from a line of its own."""
    head = f"{topic}: " if width() < layout.NARROW else f"{topic}:".ljust(at - 2)
    say(f"{head}{number.rstrip('.')}.", indent=2, hang=at)
    for part in filter(None, why):
        say(part, indent=at)


def title(left: str, day: date) -> None:
    """The first line of a screen: what it shows, and the day at the right edge."""
    wide, right = min(width(), READ), words.month_day_year(day)
    first, *rest = textwrap.wrap(left, wide - len(right) - 2, break_on_hyphens=False) or [""]
    for line in (first.ljust(wide - len(right)) + right, *rest):
        _put(line)


def table(shown: Table, answer: Any, **heads: Any) -> None:
    """A table of an answer, under its title; ``heads``: what its headings name beside the answer."""
    if shown.title:
        say(shown.title)
    columns = [
        column._replace(head=_clean_cell(column.head), cells=[_clean_cell(cell) for cell in column.cells])
        for column in texts(shown, answer, **heads)
    ]
    for line in layout.lines(columns, width()):
        _put(line)


def _clean_cell(text: str) -> str:
    """As it will stand on the screen, on one line; blanks that hold words together stay until then."""
    return "\u00a0".join(_clean(part) for part in text.replace("\n", " ").split("\u00a0"))


def notes(remarks: Sequence[str], heading: str = "Good to know") -> None:
    """Plain remarks, each with a hanging indent, under a heading; nothing when there are none."""
    if remarks:
        say()
        say(heading)
        for one in remarks:
            say(one, indent=2, hang=4)


def wants(of: Sequence[Wanted], answer: Mapping[str, Any]) -> None:
    """What the house wants as a table, and sentences on its heat and on what is late."""
    table(tables.WANTS, answer)
    for one in of:
        if one.mmbtu is not None or one.late:
            say(one.words, indent=2, hang=4)


def json_ready(value: Any) -> Any:
    """Anything an answer holds as JSON can say it: numbers unrounded, missing as null, days as 2026-11-25.

    An Estimate becomes value, low, high, unit, kind, level, n, why; a frame becomes its rows, without shapes.
    """
    if is_missing(value):
        return None
    if isinstance(value, (str, bool, int)):
        return value
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, Estimate):
        return json_ready(reasons.plain(value))
    if hasattr(value, "isoformat"):
        return value.date().isoformat() if hasattr(value, "date") else value.isoformat()
    if hasattr(value, "to_dict") and hasattr(value, "columns"):
        shapes = [name for name in value.columns if getattr(value[name].dtype, "name", "") == "geometry"]
        return [json_ready(row) for row in value.drop(columns=shapes).to_dict("records")]
    if isinstance(value, Mapping):
        return {str(key): json_ready(one) for key, one in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return json_ready(as_json(value))
    if hasattr(value, "tolist"):
        return json_ready(value.tolist())
    if isinstance(value, Iterable):
        return [json_ready(one) for one in value]
    return str(value)


def deliver(answer: Any, shown: Table | None, csv_file: Path | None, as_json: bool) -> bool:
    """Write the table ``shown`` (unrounded, without shapes) where --csv asks, print the answer where --json asks.

    Returns whether the verb should still show its words: False after --json.
    """
    if csv_file is not None and shown is not None:
        from woodlot.place import write_table

        write_table(csv_file, _frame(shown, answer))
    if as_json:
        click.echo(json.dumps(json_ready(answer), ensure_ascii=False, allow_nan=False, indent=1))
    elif csv_file is not None:
        say(f"Written: {csv_file}", err=True)
    return not as_json


def _frame(shown: Table, answer: Any) -> Any:
    """The rows of a table with its columns, each estimate as value, low and high."""
    import pandas as pd

    from woodlot.answers.tables import flat

    rows = shown.rows(answer)
    frame = rows if isinstance(rows, pd.DataFrame) else pd.DataFrame(flat(rows))
    return frame[declared(shown, [str(name) for name in frame])]


def plain_faults(verb: Callable) -> Callable:
    """Decorator of a verb's function: errors of ours and of the disk end in words on standard error and exit code 1."""

    @functools.wraps(verb)
    def run(*args: Any, **kwargs: Any) -> Any:
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always", WoodlotWarning)
            try:
                _check_free(kwargs.get("csv_file"))
                return verb(*args, **kwargs)
            except PlaceError as error:
                _fault_screen(error, kwargs.get("place"), kwargs.get("saved"), kwargs.get("other"))
            except WoodlotError as error:
                _stop(str(error))
            except BrokenPipeError:
                raise  # the reader of our output went away; click ends quietly
            except OSError as error:
                _stop_of_disk(error)
            finally:
                _cautions(caught)
        raise click.exceptions.Exit(1)

    return run


def _stop_of_disk(error: OSError) -> None:
    """What the disk or the system refused: the passing files, a file by its name, or something without one."""
    if "temporary directory" in str(error):
        _stop("there is no folder for passing files, or no room in it; name another one in TMPDIR")
    else:
        _stop(f"{error.filename or 'a file'}: {error.strerror or error}")


def _check_free(csv_file: Path | None) -> None:
    """A name that --csv may not write by is refused before the work, not after it."""
    if csv_file is not None:
        from woodlot.place import check_free

        check_free(csv_file)


def _cautions(caught: Iterable[warnings.WarningMessage]) -> None:
    for one in dict.fromkeys(str(one.message) for one in caught if issubclass(one.category, WoodlotWarning)):
        say(f"Caution: {one}", hang=4, err=True)


def _stop(message: str) -> None:
    first = message.split(maxsplit=1)[:1]
    named = bool(first) and any(mark in first[0].rstrip(":;,.") for mark in "./\\_")
    text = message if named else words.capital(message)  # the name of a file stays as it is written
    say(f"Stopped: {text}" + ("" if text.endswith((".", "?")) else "."), hang=4, err=True)


def _fault_screen(error: PlaceError, place: Path | None, saved: Any = None, other: Any = None) -> None:
    folded = _fold(error.faults)
    rows = {(f.file, f.row) for f in error.faults if f.row is not None}
    whole = sum(f.row is None for f in error.faults)
    counted = len(rows) + whole
    thing = "row" if rows and not whole else "thing"
    need = f"{words.plural(counted, thing)} {words.noun(counted, 'needs', 'need')} mending."
    refused = isinstance(error.__cause__, OSError)
    told = "the disk or the folder refused." if refused else f"{need} Nothing was written."
    if isinstance(error.__cause__, FileExistsError):
        told = "something lies in the way. Nothing was written."
    say(f"Stopped: {told}", err=True)
    say(err=True)
    for where, remedy in folded[:MOST_FAULTS]:
        say(where, indent=2, hang=6, err=True)
        say(remedy, indent=6, err=True)
    if len(folded) > MOST_FAULTS:
        files = dict.fromkeys(where.split(", row")[0].split(":")[0] for where, _ in folded[MOST_FAULTS:])
        say(f"and {len(folded) - MOST_FAULTS:,} more, in {', '.join(files)}.", indent=2, hang=4, err=True)
    if refused:
        return
    say(err=True)
    of = f" {place}" if place is not None and str(place) != "." else ""
    named = isinstance(saved, Path) and all(fault.file == saved.name for fault in error.faults)
    end = f"Mend {'the rows' if thing == 'row' else 'this'}, then:  woodlot "
    verb = "bring" if click.get_current_context().info_name == "bring" else "walk"
    joins = isinstance(other, Path) and all(fault.file.startswith(str(other)) for fault in error.faults)
    verb = f"book{of} --merge {other}" if joins else f"{verb}{of}"
    end += f"note{of} --from {saved}" if named else verb
    if rows:
        maps = any(f.row is not None and not f.file.lower().endswith((".csv", ".xlsx")) for f in error.faults)
        first = "Row 1 is the heading, as in a spreadsheet"
        first += "; in a map file row 2 is the first shape." if maps else "."
        end = f"{first} {end}"
    say(end, err=True)


def _fold(faults: Sequence[Fault]) -> list[tuple[str, str]]:
    """(where and what, remedy) of each fault; the same thing in more than three rows of a column stands once."""
    alike: dict[tuple[str, str, str, str], list[Fault]] = defaultdict(list)
    for fault in faults:
        alike[fault.file, fault.column, fault.found, fault.remedy].append(fault)
    out = []
    for fault in faults:
        same = alike[fault.file, fault.column, fault.found, fault.remedy]
        if len(same) <= 3:
            out.append((fault.where(), fault.remedy))
        elif fault is same[0]:
            out.append((fault.where(f"rows {words.first_of([str(one.row) for one in same], 8)}"), fault.remedy))
    return out
