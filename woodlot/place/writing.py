"""What is written into a family's folder: results and tables, each file swapped in whole."""

import errno
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from datetime import date
from itertools import count
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from woodlot.columns import TABLES
from woodlot.errors import Fault, InputError, PlaceError
from woodlot.place.remedies import unusable
from woodlot.place.swapping import swap_in, sync_folder, written
from woodlot.place.tabular import text_of
from woodlot.place.with_care import scratch
from woodlot.plan import ledger

__all__ = [
    "add_rows",
    "add_to_tables",
    "check_free",
    "geopackage",
    "replace_map",
    "sync_folder",
    "write_files",
    "write_table",
    "written",
]

if TYPE_CHECKING:
    import pandas as pd

#: Last column of a table that woodlot wrote: the checksum of all its other columns, by which it knows the table again.
MARK = "woodlot_check"
MEGABYTE = 1 << 20
_EVERY_LAYER_HAS_ITS_INDEX = """select (select count(*) from gpkg_geometry_columns) =
    (select count(*) from sqlite_master where type = 'table' and name like 'rtree_%_geom')"""


def write_files(folder_out: str | Path, files: Mapping[str, bytes | str]) -> list[Path]:
    """Write files into a folder of results: all are written beside and then swapped in, old ones stay whole till then.

    Parameters
    ----------
    folder_out
        The folder, made if it is not there.
    files
        Name within the folder (``map.html``, ``tables/stands.csv``) -> its content; text is written as UTF-8 with
        plain line ends.

    Returns
    -------
    The paths written, in the order given.

    Raises InputError for a name that leaves the folder or that a place reads as a hand-in, PlaceError when the disk
    refuses (nothing is swapped in then).
    """
    home = Path(folder_out)
    paths = [_inside(home, name) for name in files]
    for path in paths:
        _no_hand_in(path)
    data = [content.encode("utf-8") if isinstance(content, str) else content for content in files.values()]
    try:
        swap_in(dict(zip(paths, data, strict=True)))
    except OSError as error:
        remedy = "Nothing in the folder was lost. Close programs that hold its files, make room, and try again."
        if home.exists() and not home.is_dir():
            remedy = "A file of this name is where a folder must be: move it or give it another name, and try again."
        raise unusable(str(home), error, remedy) from error
    return paths


def _no_hand_in(path: Path) -> None:
    """InputError for a name under which a place or a region of the family's own reads what they hand in."""
    from woodlot.place.lying import RASTERS
    from woodlot.place.reading import COVER_CODES

    name = path.name.lower()
    read = name in ("place.toml", COVER_CODES) or path.stem.lower() in TABLES or name.endswith(RASTERS)
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
    text = table.to_csv(index=False, lineterminator="\n")
    marked = table.assign(**{MARK: ledger.checksum([text])}).to_csv(index=False, lineterminator="\n")
    return write_files(path.parent, {path.name: marked})[0]


def check_free(path: Path) -> None:
    """InputError unless a table may be written by this name: a new file, or one as woodlot wrote it."""
    _no_hand_in(path)
    if os.path.lexists(path) and not _made_here(path):
        raise InputError(
            f"{path} is there already, and it is not a table as woodlot wrote it; nothing is written over it. "
            "Give another name"
        )


def _made_here(path: Path) -> bool:
    if not path.is_file():
        return False
    with path.open("rb") as file:
        if not file.readline(MEGABYTE).endswith(f",{MARK}\n".encode()):
            return False
    text = path.read_bytes().decode("utf-8", "replace").replace(f",{MARK}\n", "\n", 1)
    check = text[-9:-1]
    return text.count("\n") == 1 or ledger.checksum([text.replace(f",{check}\n", "\n")]) == check


def _inside(home: Path, name: str) -> Path:
    plain = PurePosixPath(name.replace("\\", "/"))
    if not name or plain.is_absolute() or ".." in plain.parts or ":" in name:
        raise InputError(f"{name!r} is no name of a file within {home}")
    return home / plain


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
