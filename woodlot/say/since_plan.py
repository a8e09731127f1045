"""What moved since the last plan, in words: one line a number, the biggest move first.

NUMBERS     numbers that are followed -> title and unit
moved       those of them that moved beyond the rounding in which they are shown
shown       what is said to have moved them
line        the line of one number
lines       the lines of the first screen
row         number, range and why of its row
by_words    what moved a number, all of it
WORDS       key of a Reason -> its words
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from math import floor, log10
from typing import TYPE_CHECKING, Any, Protocol

from woodlot.say.first import RowWords
from woodlot.say.notes_told import sum_words
from woodlot.say.words import (
    DECIMALS,
    TEN_POUNDS,
    amount,
    day,
    first_of,
    id_list,
    listed,
    noun,
    plural,
    rounded,
)
from woodlot.trade import LEDGER_KINDS

if TYPE_CHECKING:
    from woodlot.plan.what_moved import Differ

__all__ = ["HOW", "NO_PLAN", "NUMBERS", "WORDS", "by_words", "line", "lines", "moved", "row", "shown", "value"]

#: Number -> its title, and its unit as it is said behind it.
NUMBERS = {
    "cords": ("What stands", "full cords"),
    "ceiling_cords_per_yr": ("What you may take", "cords a year"),
    "this_winter_cords": ("This winter's work", "cords"),
    "heat_short_cords": ("Heat", "cords short"),
    "deer_per_sqmi": ("Deer this fall", "deer a square mile"),
    "does": ("Does at most", "does"),
    "bucks": ("Bucks at most", "bucks"),
    "meat_lb": ("Venison", "pounds"),
}
#: How shares come about.
HOW = (
    "The last plan was worked out again from its own hand-ins by this woodlot, then for today, then with each hand-in "
    "of today in place of its own, one after another. A share is what the number moved at that step; all of them make "
    "up the whole."
)
NO_PLAN = "No plan of an earlier day is kept in plans/. woodlot plan keeps one each day on which a hand-in changed."
#: Lines of the first screen, names in a list, kinds of notes.
MOST, NAMED, KINDS = 6, 6, 3
#: A row of a table: one, more.
ROWS = {
    "words": ("word of your own", "words of your own"),
    "parcels": ("parcel", "parcels"),
    "stands": ("stand", "stands"),
    "features": ("feature", "features"),
    "tally": ("tallied tree", "tallied trees"),
    "pellets": ("pellet plots of",) * 2,
    "browse": ("browse of",) * 2,
    "seedlings": ("seedlings of",) * 2,
    "counts": ("deer counts of",) * 2,
    "bag": ("bag of", "bags of"),
    "winters": ("winter", "winters"),
    "builds": ("piece of", "pieces of"),
}
PLOTS = {"new": "measured", "again": "measured again", "changed": "corrected", "gone": "taken out"}


class By(Protocol):
    """What moved a number (``answers.types.MovedBy``)."""

    @property
    def what(self) -> str: ...
    @property
    def amount(self) -> float: ...
    @property
    def words(self) -> str: ...


class Number(Protocol):
    """A number then and now (``answers.types.Moved``)."""

    @property
    def title(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def then(self) -> float | None: ...
    @property
    def now(self) -> float | None: ...
    @property
    def by(self) -> Sequence[By]: ...


def _grain(value: float, unit: str) -> float:
    """The least step in which a number is shown."""
    if unit in TEN_POUNDS:
        return 10.0
    if unit in DECIMALS:
        return 10.0 ** -DECIMALS[unit]
    return 10.0 ** (floor(log10(abs(value))) - 1) if value else 0.0


def value(number: float | None, unit: str) -> str:
    """A number as it is shown, without its unit."""
    return "no number" if number is None else rounded(number, unit)


def moved(numbers: Sequence[Number]) -> list[Number]:
    """Those that moved beyond rounding, the biggest move first."""
    some = [one for one in numbers if one.by and value(one.then, one.unit) != value(one.now, one.unit)]
    return sorted(some, key=_move, reverse=True)


def _move(of: Number) -> float:
    """The size of a move beside the number itself."""
    if of.then is None or of.now is None:
        return 1.0
    return abs(of.now - of.then) / max(abs(of.now), abs(of.then))


def _seen(of: Number) -> list[By]:
    """What moved a number by as much as is shown of it, the biggest first; the biggest where nothing did so alone."""
    grain = _grain(of.then if of.now is None else of.now or of.then or 0.0, of.unit) / 2  # type: ignore[arg-type]
    by = sorted(of.by, key=lambda one: -abs(one.amount))
    return [one for one in by if abs(one.amount) >= grain] or by[:1]


def _signed(of: float, unit: str) -> str:
    return f"{'+' if of > 0 else '-'}{rounded(abs(of), unit)}"


def by_words(of: Number, but: str = "") -> str:
    """What moved a number, each with its amount: ``+210 by plots 4 to 6 in stand 19 measured; ...``; but: left out."""
    by = [one for one in _seen(of) if one.what != but]
    if of.then is None or of.now is None:
        return f"by {'; '.join(one.words for one in by)}"
    return "; ".join(f"{_signed(one.amount, of.unit)} by {one.words}" for one in by)


def line(of: Number) -> str:
    """What a number is now, what it was then, and the family's doings that moved it."""
    now = f"{of.title}: {'no number now' if of.now is None else amount(of.now, of.unit)}"
    return f"{now}, {value(of.then, of.unit)} then: {by_words(of, VERSION)}."


def shown(numbers: Sequence[Number]) -> set[str]:
    """What is said to have moved a number."""
    return {one.what for of in moved(numbers) for one in _seen(of)}


def lines(numbers: Sequence[Number], still: Sequence[str]) -> tuple[str, ...]:
    """A line a number, the biggest move first; then what woodlot itself moved, and what moved nothing."""
    doings = [one for one in moved(numbers) if any(by.what != VERSION for by in _seen(one))]
    last = [words for words in (_version(moved(numbers)), _still(still)) if words]
    room = MOST - len(last)
    return (*map(line, doings[:room]), *last)


VERSION = "version"


def _version(numbers: Sequence[Number]) -> str:
    """One line for all that a new version moved: it is nobody's doing."""
    by = [(of, one) for of in numbers for one in _seen(of) if one.what == VERSION]
    if not by:
        return ""
    each = listed([f"{of.title.lower()} {_signed(one.amount, of.unit)}" for of, one in by])
    return f"Not your doing, but {by[0][1].words}: {each}."


def _still(still: Sequence[str]) -> str:
    return f"Moved nothing that shows: {'; '.join(still)}." if still else ""


def row(since: date, numbers: Sequence[Number], words: Sequence[str]) -> RowWords:
    """The row of the first screen."""
    many = len(moved(numbers))
    number = f"{plural(many, 'number')} moved" if many else "Nothing moved"
    return RowWords(number, f"since the plan of {day(since)}", " ".join(words) or "No hand-in changed.")


# --- what was exchanged


def _each(table: str, names: Sequence[str]) -> str:
    which = _days(names) if ROWS[table][0].endswith(" of") and table != "bag" else id_list(names, NAMED)
    return f"{noun(len(names), *ROWS[table])} {which}"


def _days(names: Sequence[str]) -> str:
    """Days of a survey, the first and the last of many; a row may have none."""
    known = [day(date.fromisoformat(name[:10])) for name in sorted(filter(None, names))]
    run = [" to ".join(dict.fromkeys((known[0], known[-1])))] if known else []
    return listed([*run, *(["no day"] if "" in names else [])])


def _rows(tables: Sequence[tuple[str, "Differ"]]) -> str:
    said = []
    for table, rows in tables:
        parts = (("new", rows.new), ("changed", rows.changed), ("gone", rows.gone))
        said += [f"{_each(table, names)} {how}" for how, names in parts if names]
    return " and ".join(said)


def _plots(plots: Sequence[tuple[str, Sequence[tuple[str, Sequence[str]]]]], cores: Sequence[str]) -> str:
    said = [
        f"{noun(len(some), 'plot')} {id_list(some, NAMED)} in stand {stand} {PLOTS[how]}"
        for how, stands in plots
        for stand, some in stands
    ]
    said += [f"cores of {noun(len(cores), 'stand')} {id_list(cores, NAMED)}"] if cores else []
    return " and ".join(said)


def _sum(kind: str, unit: str, some: Sequence[tuple[str, str, str, float | None, int]]) -> str:
    """All notes of one kind and unit: their amount, and the stands."""
    amounts = [total for *_, total, _ in some if total is not None]
    total, lines = sum(amounts) if amounts else None, sum(many for *_, many in some)
    stands = [stand for _, _, stand, *_ in some if stand]
    said = sum_words(kind, unit, total, lines)
    return f"{said} in {noun(len(stands), 'stand')} {first_of(stands, KINDS)}" if stands else said


def _notes(lines: "Differ", sums: Sequence[tuple[str, str, str, float | None, int]]) -> str:
    said = []
    if lines.new:
        kinds = sorted(dict.fromkeys(one[:2] for one in sums), key=lambda one: [*LEDGER_KINDS, one[0]].index(one[0]))
        each = first_of([_sum(*of, [one for one in sums if one[:2] == of]) for of in kinds], KINDS)
        said.append(f"{noun(len(lines.new), 'note')} {id_list(lines.new, NAMED)} ({each})")
    for how, names in (("changed", lines.changed), ("gone", lines.gone)):
        said += [f"{noun(len(names), 'note')} {id_list(names, NAMED)} {how}"] if names else []
    return " and ".join(said)


def _key(key: str, then: Any, now: Any) -> str:
    name = key.rpartition(".")[2]
    if isinstance(then, (list, dict)) or isinstance(now, (list, dict)):
        return f"{name} changed"
    if now is None:
        return f"{name} taken out (was {then})"
    return f"{name} {now} ({'not there before' if then is None else f'was {then}'})"


def _settings(keys: Sequence[tuple[str, Any, Any]], files: Sequence[str]) -> str:
    said = [first_of([_key(*one) for one in keys], NAMED)] if keys else []
    return " and ".join([*said, *([first_of(files, KINDS)] if files else [])])


WORDS: Mapping[str, Callable[..., str]] = {
    "plots moved": _plots,
    "notes moved": _notes,
    "rows moved": _rows,
    "settings moved": _settings,
    "files moved": lambda files: f"{first_of(files, NAMED)} changed",
    "rasters moved": lambda files: f"{noun(len(files), 'the raster', 'the rasters')} {first_of(files, NAMED)}",
    "new version": lambda now, then: f"woodlot {now} in place of {then}",
    "same version": lambda version: f"woodlot itself or what it runs on, still {version}",
    "days since": lambda days: "the day since" if days == 1 else f"the {days:,} days since",
    "moved together": lambda parts: f"{parts[0]} together with {listed(parts[1:])}",
    "last plan unreadable": lambda: "this woodlot, which cannot read the last plan's files any more",
}
