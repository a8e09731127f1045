"""A region: every coefficient table, figure, choice and species of a part of the country, and what was read of them.

A region is a folder with ``region.toml`` (name, based_on, choices) and CSV tables. Only ``base`` is based on nothing; a
region holds only the rows in which it differs: they are laid over the rows of the region it is based on by the key
columns of tables.csv (same keys replace, new keys add, the rest stays; a table without key columns is replaced whole).
Every row of every table says ``source`` (a key of sources.csv), ``where`` (page, table or equation) and ``seen``: read,
read 2nd-hand, memory, derived or chosen.

shipped       a region that comes with woodlot
open_region   a region by its name, the family's own beside their files first
once          decorator: worked out once a region
reading       what was read inside a ``with``
"""

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import cache, cached_property, wraps
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, ParamSpec, TypeVar

from woodlot.errors import InputError, TableError
from woodlot.species import SpeciesList

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Read", "Region", "names", "once", "open_region", "reading", "rows_read", "shipped"]

P = ParamSpec("P")
T = TypeVar("T")

MARKS = ("source", "where", "seen")
ALL = ("",)


class Read(NamedTuple):
    """One row that was looked up: its table, its key (key columns with blanks between; "" for the whole table)."""

    table: str
    row: str


_READS: ContextVar[set[Read] | None] = ContextVar("reads", default=None)


@contextmanager
def reading() -> Iterator[set[Read]]:
    """Everything read from regions inside the ``with``; a ``with`` around it gets it too."""
    outer, here = _READS.get(), set[Read]()
    token = _READS.set(here)
    try:
        yield here
    finally:
        _READS.reset(token)
        if outer is not None:
            outer |= here


def heard(reads: set[Read] | frozenset[Read]) -> None:
    """Note again what was read when a kept value was made."""
    if (here := _READS.get()) is not None:
        here |= reads


@dataclass(frozen=True)
class Region:
    """A region: its name and its folders, own first, base last, and what the family's own work taught of its figures
    (name -> factor, 1 where nothing is learned). It pickles as these; what it keeps is made again.
    """

    name: str
    folders: tuple[Path, ...]
    learned: tuple[tuple[str, float], ...] = ()
    _kept: dict[Any, tuple[Any, frozenset[Read]]] = field(default_factory=dict, compare=False, repr=False)

    def __reduce__(self) -> tuple[Any, ...]:
        return Region, (self.name, self.folders, self.learned)

    def times(self, name: str) -> float:
        """The factor that the family's own work put on a figure; 1 where nothing is learned of it."""
        return dict(self.learned).get(name, 1.0)

    def taught(self, learned: Mapping[str, float]) -> "Region":
        """The same region with these factors, and no others."""
        return Region(self.name, self.folders, tuple(sorted(learned.items())))

    def table(self, topic: str, rows: Sequence[str] | None = None) -> "pd.DataFrame":
        """A table (file name without .csv) with the region's own rows laid over those it is based on.

        ``rows``: which of its rows (by their keys) are noted as read; None: all. Do not change the frame: it is
        shared. Raises TableError when no folder has it.
        """
        if topic not in self._kept:
            self._kept[topic] = self._laid(topic), frozenset()
        self.note(topic, ALL if rows is None else rows)
        return self._kept[topic][0]

    def note(self, topic: str, rows: Sequence[str]) -> None:
        """Note rows of a table as read."""
        if (here := _READS.get()) is not None:
            here.update([Read(topic, row) for row in rows])

    def _laid(self, topic: str) -> "pd.DataFrame":
        tables = [read_table(folder / f"{topic}.csv") for folder in self.folders if (folder / f"{topic}.csv").is_file()]
        if not tables:
            raise TableError(f"no table {topic!r} in {' or '.join(folder.name for folder in self.folders)}")
        frame = tables[-1]
        for own in reversed(tables[:-1]):
            frame = laid_over(own, frame, keys(topic))
        return frame

    def records(self, topic: str, *key: str) -> "Rows":
        """Rows of a table as plain mappings, by the value of the key column (a tuple for more than one)."""
        kept = "records", topic, key
        if kept not in self._kept:
            self._kept[kept] = Rows(self, topic, key), frozenset()
        return self._kept[kept][0]

    def figure(self, topic: str, name: str) -> float:
        """One value of a table of defaults (name, value, unit ...), in the unit of its row. Raises InputError."""
        return float(self._row(topic, name)["value"])

    def limits(self, topic: str, name: str) -> tuple[float, float]:
        """Low and high of a value of a table of defaults (NaN where none is given). Raises InputError."""
        row = self._row(topic, name)
        return float(row["low"]), float(row["high"])

    def _row(self, topic: str, name: str) -> dict[str, Any]:
        rows = self.records(topic, "name")
        if name not in rows:
            raise InputError(f"{topic} has no row named {name!r}")
        return rows[name]

    @cached_property
    def choices(self) -> dict[str, Any]:
        """What the region and those it is based on choose, topic -> value."""
        out: dict[str, Any] = {}
        for folder in reversed(self.folders):
            out |= read_toml(folder).get("choices", {})
        return out

    def choice(self, topic: str) -> Any:
        """A region's choice (a number, numbers or a word) from region.toml. Raises TableError for one nobody knows."""
        if topic not in self.choices:
            raise TableError(f"no choice {topic!r} in region {self.name!r}")
        self.note("region.toml", (topic,))
        return self.choices[topic]

    def once(self, key: Any, make: Callable[["Region"], T]) -> T:
        """What ``make`` gives, worked out once; what it read is noted at every use."""
        if key not in self._kept:
            with reading() as reads:
                value = make(self)
            self._kept[key] = value, frozenset(reads)
        value, read = self._kept[key]
        heard(read)
        return value

    def as_shipped(self) -> "Region":
        """The same without the folders that are the family's own."""
        return Region(self.name, tuple(folder for folder in self.folders if folder not in self.own_folders))

    @property
    def own_folders(self) -> tuple[Path, ...]:
        """Folders of the family's own, those that do not come with woodlot."""
        return tuple(folder for folder in self.folders if folder.parent != home())

    @property
    def species(self) -> SpeciesList:
        """The region's list of species."""
        key = "the list of species"
        if key not in self._kept:
            self._kept[key] = SpeciesList(self), frozenset()
        return self._kept[key][0]


def once(make: Callable[P, T]) -> Callable[P, T]:
    """Decorator of a function of plain arguments and ``region=``: each answer is worked out once a region."""

    @wraps(make)
    def kept(*args: Any, region: Region, **more: Any) -> T:
        key = (make.__module__, make.__qualname__, args, tuple(more.items()))
        return region.once(key, lambda r: make(*args, region=r, **more))  # type: ignore[arg-type]

    return kept  # type: ignore[return-value]


class Rows(Mapping[Any, dict[str, Any]]):
    """Rows of a table by their keys; each is noted as read when it is taken."""

    def __init__(self, region: Region, topic: str, key: Sequence[str]):
        """Rows of a table of a region by some of its columns."""
        each: list[dict[str, Any]] = region.table(topic, rows=()).to_dict("records")  # type: ignore[assignment]
        self._region, self._topic = region, topic
        self._rows = {r[key[0]] if len(key) == 1 else tuple(r[k] for k in key): r for r in each}

    def __getitem__(self, key: Any) -> dict[str, Any]:
        row = self._rows[key]
        self._region.note(self._topic, (row_key(self._topic, row),))
        return row

    def __contains__(self, key: object) -> bool:
        return key in self._rows

    def __iter__(self) -> Iterator[Any]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)


def row_key(topic: str, row: Mapping[Any, Any]) -> str:
    """The key of a row as it is noted: its key columns with blanks between."""
    return " ".join(str(row[column]) for column in keys(topic))


def rows_read(region: Region, reads: Iterable[Read]) -> "dict[str, pd.DataFrame]":
    """The rows of each table that were read, in the order of tables.csv; a table without any is left out."""
    by: dict[str, set[str]] = {}
    for read in reads:
        by.setdefault(read.table, set()).add(read.row)
    out = {}
    for topic in (name for name in known_tables() if name in by):
        rows, key = region.table(topic, rows=()), list(keys(topic))
        if key and "" not in by[topic]:
            rows = rows[rows[key].astype(str).agg(" ".join, axis="columns").isin(by[topic])]
        if len(rows):
            out[topic] = rows
    return out


def laid_over(own: "pd.DataFrame", under: "pd.DataFrame", key: Sequence[str]) -> "pd.DataFrame":
    """Rows of ``own`` in place of those with the same key, in their order; rows with new keys behind them."""
    import pandas as pd

    if not key:
        return own
    text = [frame[list(key)].astype(str).fillna("").agg("\x1f".join, axis="columns") for frame in (own, under)]
    place = dict(zip(text[1], range(len(under)), strict=True))
    at = [place.get(name, len(under) + i) for i, name in enumerate(text[0])]
    kept = under[~text[1].isin(text[0])]
    order = [*(place[name] for name in text[1][kept.index]), *at]
    both = pd.concat([kept, own], ignore_index=True)
    return both.iloc[sorted(range(len(order)), key=order.__getitem__)].reset_index(drop=True)


def home() -> Path:
    """The folder of the regions that come with woodlot."""
    return Path(str(files("woodlot") / "regions"))


@cache
def _index() -> dict[str, dict[str, tuple[str, ...]]]:
    rows = _csv(home() / "tables.csv").fillna("")
    return {r.pop("table"): {k: tuple(v.split()) for k, v in r.items()} for r in rows.to_dict("records")}  # type: ignore[misc]


def keys(topic: str) -> tuple[str, ...]:
    """Columns by which the rows of a table are told apart; none where a region's table stands for the whole."""
    return _index()[topic]["key"]


def more_columns(topic: str) -> tuple[str, ...]:
    """Columns that the family's own table may have besides."""
    return _index()[topic]["more_columns"]


def known_tables() -> list[str]:
    """Names of all tables a region may hold."""
    return list(_index())


def names() -> list[str]:
    """Names of the regions that come with the package."""
    return sorted(p.parent.name for p in home().glob("*/region.toml"))


def read_toml(folder: Path) -> dict[str, Any]:
    """What the region.toml of a folder says. Raises TableError when it is not TOML."""
    try:
        return tomllib.loads((folder / "region.toml").read_text(encoding="utf-8"))
    except (ValueError, RecursionError) as error:
        raise TableError(f"{folder.name}/region.toml cannot be read: {error}") from error


@cache
def _read_shipped(file: Path) -> "pd.DataFrame":
    frame = _csv(file)
    for column in MARKS:
        if file.name != "sources.csv" and (column not in frame or frame[column].isna().any()):
            raise TableError(f"{file.name}: every row needs {column!r}")
    return frame


def read_table(file: Path) -> "pd.DataFrame":
    """A coefficient table as it stands in its file; those that come with woodlot are read once."""
    return _read_shipped(file) if file.parent.parent == home() else _csv(file)


def _csv(file: Path) -> "pd.DataFrame":
    import pandas as pd

    return pd.read_csv(file, dtype=dict.fromkeys(MARKS, str), keep_default_na=False, na_values=[""])


@cache
def shipped(name: str) -> Region:
    """A region that comes with woodlot, by its name. Raises TableError when there is none."""
    return Region(name, _line(name, None))


def _line(name: str, beside: Path | None) -> tuple[Path, ...]:
    """Folders of a region and of all that it is based on."""
    folders: list[Path] = []
    while name:
        places = [where / name for where in ([beside] if beside else []) + [home()]]
        folder = next((one for one in places if (one / "region.toml").is_file() and one not in folders), None)
        if folder is None:
            raise TableError(f"there is no region {name!r}; there are {', '.join(names())}")
        folders.append(folder)
        name = read_toml(folder).get("based_on", "")
    return tuple(folders)


def open_region(name: str, beside: Path | None = None) -> Region:
    """A region by its name, in the family's own folder ``beside`` if there. Raises TableError when there is none."""
    if beside is None or not (beside / name / "region.toml").is_file():
        return shipped(name)
    return Region(name, _line(name, beside))
