"""place.toml as it is written: read as TOML, or the line at which it cannot be read on."""

import os
import re
import tomllib
from pathlib import Path
from typing import Any

from woodlot.errors import Fault, PlaceError
from woodlot.place.remedies import short, unusable
from woodlot.place.with_care import data_of, is_deep

__all__ = ["FILE", "read_toml_of"]

FILE = "place.toml"
_LIKE_IT = ("place.toml", "place.toml.txt", "place.txt", "place.toml.toml", "places.toml", "place (1).toml", "place")
#: A place.toml of a family with every key and a hundred wants is a hundredth of this; it has three parts within parts.
_MOST_BYTES, _MOST_DEEP = 500_000, 20
#: A key of more than twenty parts, which takes ever longer to read.
_DOTTED = re.compile(rb"""(?<![\w"'.-])(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){20}""")
_NO_END, _ANEW = "brackets or dots within one another without end", "Start from a new place.toml."


def read_toml_of(folder: Path, faults: list[Fault]) -> dict[str, Any]:
    """What place.toml of a folder says, unchecked; name and region alone, with a fault, where it cannot be read."""
    path = folder / FILE
    if not os.path.lexists(path):
        near = [one.name for one in path.parent.glob("*") if one.name.lower() in _LIKE_IT]
        where = short(str(path.parent), 200)
        remedy = f"A place needs this file with its name and region:  woodlot start {where}  adds it, and only it."
        if near:
            remedy = f'There is "{near[0]}": name it {FILE}.'
        faults.append(_fault("", "not there", remedy))
        return {"name": path.parent.name, "region": "base"}
    data = b""
    try:
        data = data_of(path, most=_MOST_BYTES)
        if _DOTTED.search(data):
            raise RecursionError
        written = tomllib.loads(data.decode("utf-8-sig"))
        if not is_deep([*written.values()], _MOST_DEEP):
            return written
        faults.append(_fault("", _NO_END, _ANEW))
    except PlaceError as error:
        faults += error.faults
    except OSError as error:
        faults += unusable(
            FILE, error, "Close programs that hold the file, or give yourself the right to read it."
        ).faults
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        faults.append(_fault(f"line {line}", "a letter that is not UTF-8", "Save the file again as UTF-8."))
    except tomllib.TOMLDecodeError as error:
        faults.append(_broken_toml(data.decode("utf-8-sig"), str(error)))
    except (RecursionError, MemoryError):
        faults.append(_fault("", _NO_END, _ANEW))
    except ValueError:  # a number of thousands of digits, a day that is none
        faults.append(_fault("", "a number without end, or a day that is none", "Look for it in the file."))
    return {"name": path.parent.name, "region": "base"}


def _broken_toml(text: str, error: str) -> Fault:
    """The line at which place.toml cannot be read on, and what is mostly wrong with such a line."""
    named, lines = re.search(r"at line (\d+)", error), text.splitlines()
    number = int(named.group(1)) if named else len(lines)
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    value = line.partition("=")[2].split("#")[0].strip()
    remedy = 'Text stands between quotation marks, numbers do not, as in  name = "North woods"  or  level = 0.9'
    if re.search("[\u2018\u2019\u201c\u201d]", line):
        remedy = 'Curled quotation marks are not read: write straight ones ("), in a plain text editor.'
    elif value == "...":
        remedy = "Write what is so in place of the dots, or put the # before the line again."
    elif re.fullmatch(r"\d+,\d+", value):
        remedy = f"Write the number with a point: {value.replace(',', '.')}"
    elif "overwrite" in error or "twice" in error or "Cannot declare" in error:
        remedy = "This stands twice in the file. Keep one of the two."
    return Fault(FILE, None, "", f"line {number}: {short(line, 70)}" if line else short(error, 90), remedy)


def _fault(key: str, found: str, remedy: str) -> Fault:
    return Fault(FILE, None, key, short(found), remedy)
