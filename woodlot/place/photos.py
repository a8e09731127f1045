"""Photos of a place: copied into its folder photos, named in the ledger with their checksum.

keep     a photo copied into the folder, under its own name where that is free
amiss    photos named in the ledger that are not there, or not the same any more

A photo is told by its name: no answer opens it, no page holds it.
"""

import os
from hashlib import sha256
from itertools import count
from pathlib import Path

import pandas as pd

from woodlot.errors import InputError
from woodlot.place.remedies import unusable
from woodlot.place.swapping import check_of, record, sweep, sync_folder, write_beside
from woodlot.say import noted as say

__all__ = ["FOLDER", "MOST_MB", "PICTURES", "amiss", "keep"]

FOLDER = "photos"
#: A larger file is no photo of a phone or camera.
MOST_MB = 50
PICTURES = (".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp", ".gif", ".tif", ".tiff")


def keep(place: str | Path, file: str | Path) -> tuple[str, str]:
    """Copy a photo into the place's folder photos; its name there and its SHA-256.

    A photo that is there already, under its name or with -2 behind it, is not copied again; another one of the same
    name gets -2. Raises InputError for what is no photo, PlaceError where it cannot be written.
    """
    path, home = Path(file), Path(place) / FOLDER
    _check(path, home)
    data = _read(path)
    told = sha256(data).hexdigest()
    name = _plain(path.name)
    stem, suffix = name[: -len(path.suffix)], path.suffix
    try:
        home.mkdir(exist_ok=True)
        sweep(home)
        for number in count(1):
            there = home / (name if number == 1 else f"{stem}-{number}{suffix}")
            if os.path.lexists(there):
                if there.is_file() and not there.is_symlink() and check_of(there) == told:
                    return there.name, told
            elif _put(there, data):
                return there.name, told
    except OSError as error:
        raise unusable(f"{FOLDER}/{name}", error, "Nothing was noted. Make room and write it again.") from error
    raise AssertionError


def _check(path: Path, home: Path) -> None:
    if not path.is_file():
        raise InputError(f"photo {path} is not there, or it is no file")
    if path.suffix.lower() not in PICTURES:
        raise InputError(f"photo {path.name}: a photo ends in {', '.join(PICTURES)}")
    size = path.stat().st_size
    if not size or size > MOST_MB << 20:
        raise InputError(
            f"photo {path.name} has {size / (1 << 20):,.1f} MB; a photo has more than 0 and {MOST_MB} at most"
        )
    if home.is_symlink() or (home.exists() and not home.is_dir()):
        raise InputError(f"{home} is a link or a file; photos are kept in a folder of that name")


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise unusable(path.name, error, "Nothing was noted. Give yourself the right to read it.") from error


def _plain(name: str) -> str:
    """A name that every system can hold: no sign that does not print, none that parts folders."""
    plain = "".join("_" if not c.isprintable() or c in '\\/:*?"<>|' else c for c in name).strip(" .")
    return plain[-120:]


def _put(there: Path, data: bytes) -> bool:
    """Write a new file whole; False where another writer was first."""
    whole = write_beside(there, data)
    try:
        try:
            os.link(whole, there)
        except FileExistsError:
            return False
        except OSError:  # a disk without links
            whole.replace(there)
        record([there])
        sync_folder(there.parent)
        return True
    finally:
        whole.unlink(missing_ok=True)


def amiss(place: str | Path, lines: pd.DataFrame) -> list[str]:
    """Photos that lines of the ledger name and that are not in the folder, or are another file than was noted."""
    if "photo" not in lines or not lines["photo"].notna().any():
        return []
    home, out = Path(place) / FOLDER, []
    named = lines[lines["photo"].notna()]
    for line, name, told in zip(named["line"], named["photo"], named["photo_check"], strict=True):
        path = home / str(name)
        if Path(str(name)).name != str(name) or not path.is_file():
            out.append(say.photo_amiss(int(line), str(name), there=False))
        elif isinstance(told, str) and check_of(path) != told.lower():
            out.append(say.photo_amiss(int(line), str(name), there=True))
    return out
