"""Tables, maps and other single files that are written for a family, each swapped in whole; results.py has ``out/``."""

import errno
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from datetime import date
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from woodlot import ledger
from woodlot.column_kinds import neutral
from woodlot.columns import TABLES
from woodlot.errors import Fault, InputError, PlaceError
from woodlot.place.remedies import unusable
from woodlot.place.results import Ours, check_results, results_of, write_results
from woodlot.place.swapping import in_the_way, inside, refuse, swap_in, sync_folder, written
from woodlot.place.tabular import text_of
from woodlot.place.with_care import scratch

__all__ = [
    "add_rows",
    "add_to_tables",
    "check_free",
    "csv_text",
    "geopackage",
    "replace_map",
    "sync_folder",
    "write_file",
    "write_files",
    "write_table",
    "written",
]

if TYPE_CHECKING:
    import pandas as pd

#: Last column of a table that woodlot wrote: the checksum of all its other columns, by which it knows the table again.
MARK = "woodlot_check"
MEGABYTE = 1 << 20
_LIKE_A_FORMULA = r"'*[-=+@\t\r]"
_EVERY_LAYER_HAS_ITS_INDEX = """select (select count(*) from gpkg_geometry_columns) =
    (select count(*) from sqlite_master where type = 'table' and name like 'rtree_%_geom')"""


def write_files(folder: str | Path, files: Mapping[str, bytes | str], ours: Ours | None = None) -> list[Path]:
    """Write files into a folder, all written beside before the first is swapped in.

    Parameters
    ----------
    folder
        The folder, made if it is not there.
    files
        Name within the folder -> its content; text is written as UTF-8 with plain line ends.
    ours
        Whether a file that is there is woodlot's own, so that it may be written over; without it none is.

    Returns
    -------
    The paths written, in the order given.

    Raises InputError for a name that leaves the folder or that a place reads as a hand-in, PlaceError where something
    is there already and when the disk refuses (nothing is swapped in then).
    """
    home = Path(folder)
    data = {inside(home, name): one.encode("utf-8") if isinstance(one, str) else one for name, one in files.items()}
    faults = []
    for path, content in data.items():
        _no_hand_in(path)
        plain = in_the_way(path) is None  # what is not is refused where it is swapped in
        if plain and path.exists() and path.read_bytes() != content and not (ours and ours(path)):
            remedy = "Nothing is written over it. Move it or give another name, and try again."
            faults.append(Fault(str(path), None, "", "there already", remedy))
    refuse(faults)
    try:
        swap_in(data)
    except OSError as error:
        remedy = "Nothing in the folder was lost. Close programs that hold its files, make room, and try again."
        if home.exists() and not home.is_dir():
            remedy = "A file of this name is where a folder must be: move it or give it another name, and try again."
        raise unusable(str(home), error, remedy) from error
    return list(data)


def write_file(path: Path, data: bytes | str, ours: Ours | None = None) -> Path:
    """Write one file where a family wants it, as ``write_files``; in a folder of results as ``write_results``."""
    _no_hand_in(path)
    if within := results_of(path):
        write_results(within[0], {within[1]: data}, ours=ours)
        return path
    return write_files(path.parent, {path.name: data}, ours)[0]


def _no_hand_in(path: Path) -> None:
    """InputError for a name under which a place or a region of the family's own reads what they hand in."""
    from woodlot.place.lying import OWN, RASTERS

    name = path.name.lower()
    read = name in OWN or path.stem.lower() in TABLES or name.endswith(RASTERS)
    if (read and (path.parent / "place.toml").exists()) or (path.parent / "region.toml").exists():
        raise InputError(f"{path} is a name of the family's own files; no result is written by it. Give another name")


def replace_map(old: Path, table: str, data: bytes) -> tuple[str, str]:
    """Write a map of the family's anew as GeoJSON; the file as it was is kept beside under a name that is not read.

    Returns the names of the new file and of the one kept (``parcels.before.kml``, ``parcels.before2.kml`` ...). Raises
    PlaceError when the disk refuses; what was read before is read then.
    """
    loose = [path for path in old.parent.iterdir() if path.stem == old.stem] if old.suffix.lower() == ".shp" else [old]
    kept = next(names for number in count(1) if not any(map(os.path.lexists, names := _kept_as(loose, table, number))))
    new = old if old.suffix.lower() in (".geojson", ".json") else old.with_name(f"{table}.geojson")
    try:
        swap_in({**{name: path.read_bytes() for path, name in zip(loose, kept, strict=True)}, new: data})
        for path in loose:
            if path != new:
                path.unlink()
    except OSError as error:
        remedy = "Your outlines are whole. Close programs that hold them, make room, and try again."
        raise unusable(old.name, error, remedy) from error
    return new.name, kept[loose.index(old)].name


def _kept_as(paths: Sequence[Path], table: str, number: int) -> list[Path]:
    at = len(table)
    before = f".before{number if number > 1 else ''}"
    return [path.with_name(f"{path.name[:at]}{before}{path.name[at:]}") for path in paths]


def write_table(file: str | Path, table: "pd.DataFrame") -> Path:
    """Write a table as CSV where a family wants it; the last column is the checksum of the others.

    Raises InputError where a file stands that is not such a table, or was changed since; PlaceError as ``write_files``.
    """
    path = Path(file)
    check_free(path)
    check = ledger.checksum([csv_text(table)])
    return write_file(path, csv_text(table.assign(**{MARK: check})), _made_here)


def csv_text(table: "pd.DataFrame") -> str:
    """A table as CSV; a text that a spreadsheet would work out as a formula gets an apostrophe, numbers stay."""
    told = table.copy()
    for at in range(told.shape[1]):
        column = told.iloc[:, at]
        formula = column.astype(str).str.match(_LIKE_A_FORMULA) if column.dtype.kind == "O" else None
        if formula is not None and formula.any():
            texts = column[formula].map(lambda cell: neutral(cell) if isinstance(cell, str) else cell)
            told.isetitem(at, column.astype(object).where(~formula, texts).to_numpy())
    return told.to_csv(index=False, lineterminator="\n")


def check_free(path: Path) -> None:
    """InputError unless a table may be written by this name: a new file, or one as woodlot wrote it."""
    _no_hand_in(path)
    if os.path.lexists(path) and not _made_here(path):
        raise InputError(
            f"{path} is there already, and it is not a table as woodlot wrote it; nothing is written over it. "
            "Give another name"
        )
    if within := results_of(path):
        check_results(within[0], [within[1]], _made_here)


def _made_here(path: Path) -> bool:
    if in_the_way(path):
        return False
    with path.open("rb") as file:
        if not file.readline(MEGABYTE).endswith(f",{MARK}\n".encode()):
            return False
    text = path.read_bytes().decode("utf-8", "replace").replace(f",{MARK}\n", "\n", 1)
    check = text[-9:-1]
    return text.count("\n") == 1 or ledger.checksum([text.replace(f",{check}\n", "\n")]) == check


def add_rows(folder: str | Path, saved: Iterable[str | Path], joined: Callable[[str, str, str], str]) -> dict[str, int]:
    """Put rows saved elsewhere behind those of a place's own tables; the whole place is read before a file is touched.

    Parameters
    ----------
    folder
        The place.
    saved
        CSV files named after their tables (plots.csv, trees.csv ...; "plots (1).csv" too).
    joined
        (old text, new text, table) -> text of the table with both.

    Returns
    -------
    File name -> rows in it now.

    Raises InputError for a file that is named after no table or a table kept as a spreadsheet, PlaceError with every
    fault of the place as it would be; nothing is changed then.
    """
    from woodlot.place.lying import RASTERS
    from woodlot.place.reading import read

    home = Path(folder)
    texts: dict[str, str] = {}
    faults: list[Fault] = []
    for path in map(Path, saved):
        table = next((t for t in TABLES if path.stem.lower().split(" ")[0] == t), "")
        if not table:
            raise InputError(f"{path.name} is named after no table; the phone saves plots, trees, pellets, browse")
        if (home / f"{table}.xlsx").exists():
            raise InputError(f"{table}.xlsx is a spreadsheet: paste the rows of {path.name} into it yourself")
        own = home / f"{table}.csv"
        old = texts.get(own.name, "")
        with _kept(faults):
            old = old or (text_of(own) if own.exists() else "")
        with _kept(faults):
            texts[own.name] = joined(old, text_of(path), table)
    if faults:
        raise PlaceError(faults)
    with scratch() as trial:
        for path in home.rglob("*"):
            copy, made = trial / path.relative_to(home), {home / "out", home / "plans"} & {*path.parents}
            if path.is_file() and not made and not path.name.lower().endswith(RASTERS):
                copy.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(path, copy)
        for name, text in texts.items():
            (trial / name).write_text(text, encoding="utf-8")
        read(trial)
    try:
        swap_in({home / name: text.encode("utf-8") for name, text in texts.items()})
    except OSError as error:
        remedy = "No table was changed. Close programs that hold them, make room, and try again."
        raise unusable(str(home), error, remedy) from error
    return {name: max(text.count("\n") - 1, 0) for name, text in texts.items()}


def add_to_tables(folder: str | Path, texts: Mapping[str, str], before: Mapping[str, str | None]) -> list[Path]:
    """Write tables that hold what stood in them and more, all or none.

    Parameters
    ----------
    folder
        The place; made if it is not there.
    texts
        File name -> its new text.
    before
        File name -> the text it had when the new one was made, None where it was not there.

    Raises PlaceError when a file was changed since, or the disk refuses; nothing is written then.
    """
    home = Path(folder)
    for name in texts:
        now = (home / name).read_bytes().decode("utf-8-sig", "replace") if (home / name).exists() else None
        if now != before.get(name):
            raise unusable(name, "changed in the meantime", "Nothing was written. Try again.")
    try:
        swap_in({home / name: text.encode("utf-8") for name, text in texts.items()})
    except OSError as error:
        remedy = "No table was changed. Close programs that hold them, make room, and try again."
        raise unusable(str(home), error, remedy) from error
    return [home / name for name in texts]


@contextmanager
def _kept(faults: list[Fault]) -> Iterator[None]:
    """Faults that are raised inside are kept for the end, behind those of files before."""
    try:
        yield
    except PlaceError as error:
        faults += error.faults


def geopackage(layers: Mapping[str, Any], day: date) -> bytes:
    """A GeoPackage of the layers given (name -> GeoDataFrame, or DataFrame for a plain table), as bytes to write.

    ``day`` stands in it as the day of its last change, not the clock: the same layers and day give the same bytes.
    Raises PlaceError where there is no room for it among the passing files.
    """
    import pyogrio

    with scratch() as folder:
        path = folder / "layers.gpkg"
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": f"{day.isoformat()}T00:00:00Z"})
        try:
            for name, frame in layers.items():
                pyogrio.write_dataframe(frame, path, layer=name, driver="GPKG", append=path.exists())
            with closing(sqlite3.connect(path)) as base:
                whole = base.execute(_EVERY_LAYER_HAS_ITS_INDEX).fetchone()[0]
        except (RuntimeError, sqlite3.Error):  # raised for a full disk too: one more file shows which it is
            (folder / "room").write_bytes(bytes(MEGABYTE + (path.stat().st_size if path.exists() else 0)))
            raise
        finally:
            pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": None})
        if not whole:  # written last, and lost without a word when there is no room for it
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return path.read_bytes()
