"""Coefficient tables of a region: found by listing folders, checked once, joined with the region they are based on.

A region is a folder with ``region.toml`` (name, based_on, choices) and CSV tables. Only ``base`` is based on nothing; a
region holds only the tables in which it differs. Every row of every table says ``source`` (a key of sources.csv),
``where`` (page, table or equation) and ``seen``: read, read 2nd-hand, memory, derived or chosen.
"""

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from woodlot.errors import TableError
from woodlot.trade import SEEN, unknown

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Region", "names", "region", "table"]


@dataclass(frozen=True)
class Region:
    """A region: its name, the one it is based on, its choices (topic -> value) and the folder it was read from."""

    name: str
    based_on: str
    choices: dict
    folder: Path


def _home() -> Path:
    return Path(str(files("woodlot") / "regions"))


def names() -> list[str]:
    """Names of the regions that come with the package."""
    return sorted(p.parent.name for p in _home().glob("*/region.toml"))


@cache
def region(name: str, beside: Path | None = None) -> Region:
    """Read a region by name, or by the path of its folder; ``beside`` is a folder that may hold the family's own.

    A place whose region lies beside its files carries that path, so that every chapter finds it. Raises TableError.
    """
    import tomllib

    if Path(name).name != name:
        beside, name = Path(name).parent, Path(name).name
    for home in ([Path(beside)] if beside else []) + [_home()]:
        file = home / name / "region.toml"
        if file.is_file():
            told = tomllib.loads(file.read_text(encoding="utf-8"))
            return Region(name, told.get("based_on", ""), told.get("choices", {}), file.parent)
    raise TableError(f"there is no region {name!r}; there are {', '.join(names())}")


@cache
def _read(file: Path) -> "pd.DataFrame":
    import pandas as pd

    frame = pd.read_csv(file, dtype={"source": str, "where": str, "seen": str}, keep_default_na=False, na_values=[""])
    if file.name != "sources.csv":
        for column in ("source", "where", "seen"):
            if column not in frame or frame[column].isna().any():
                raise TableError(f"{file.name}: every row needs {column!r}")
        odd = sorted(set(frame["seen"]) - set(SEEN))
        if odd:
            raise TableError(f"{file.name}: seen is {odd[0]!r}: {unknown(str(odd[0]), SEEN)}")
    return frame


@cache
def table(topic: str, of: str = "base", beside: Path | None = None) -> "pd.DataFrame":
    """The table ``topic`` (file name without .csv) of a region, or of the nearest region it is based on.

    Do not change the frame that is returned: it is shared. Raises TableError when no region in the line has it.
    """
    name, tried = of, []
    while name:
        here = region(name, beside)
        file = here.folder / f"{topic}.csv"
        if file.is_file():
            return _read(file)
        tried.append(name)
        name = here.based_on
    raise TableError(f"no table {topic!r} in {' or '.join(tried)}")


@cache
def choice(topic: str, of: str = "base", beside: Path | None = None):
    """A region's choice (a number or a table name) from region.toml, or the one of the region it is based on."""
    name = of
    while name:
        here = region(name, beside)
        if topic in here.choices:
            return here.choices[topic]
        name = here.based_on
    raise TableError(f"no choice {topic!r} in region {of!r}")
