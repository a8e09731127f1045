"""The file that a family hands the neighbors with whom it shares the deer: outline, acres, kills by fall. Nothing else.

hand_out         its text; write_hand_out: writes it, over nothing

A neighbor is told what the group needs and no more: no count of deer, no stand, plot or name of either, no house, no
note.
"""

import json
import os
from pathlib import Path

from woodlot.deer.group import Family, Group
from woodlot.errors import InputError
from woodlot.place.group import FOLDER, OF_A_FALL
from woodlot.place.swapping import in_the_way
from woodlot.place.writing import write_file

__all__ = ["hand_out", "write_hand_out"]

#: Steps of an outline's corners, in degrees: under half an inch.
GRID = 1e-7


def hand_out(own: Family) -> str:
    """The file that one's own family gives its neighbors: outlines drawn as one, acres, kills by fall."""
    import shapely

    from woodlot.land.parcels import acres_geodesic

    outline = shapely.normalize(shapely.set_precision(own.outline, GRID))
    taken = own.killed_by_fall.astype(int)
    held = {
        "family": own.name,
        "acres": round(float(acres_geodesic(outline)), 1),
        "kills": taken.reset_index().set_axis(list(OF_A_FALL), axis=1).to_dict("records"),
    }
    properties = json.dumps(held, ensure_ascii=False, indent=1)
    return (
        '{"type": "FeatureCollection", "features": [{"type": "Feature",\n'
        f'"properties": {properties},\n"geometry": {shapely.to_geojson(outline)}}}]}}\n'
    )


def write_hand_out(file: Path, group: Group) -> Path:
    """Write one's own file; the same text that lies there already stays.

    Raises InputError where another file has the name, or where it would be read as a map of a place or as a neighbor's;
    PlaceError when the disk refuses.
    """
    text = hand_out(next(one for one in group.families if one.name == group.own))
    folders = (file.parent, file.parent.parent) if file.parent.name == FOLDER else (file.parent,)
    if any((one / "place.toml").exists() for one in folders):
        raise InputError(f"{file} would be read as a file of that place. Write it elsewhere, as into its folder out")
    if os.path.lexists(file) and not _is(file, text):
        raise InputError(f"{file} is there already; nothing is written over it. Give another name, or take it away")
    return write_file(file, text, lambda path: _is(path, text))


def _is(file: Path, text: str) -> bool:
    return in_the_way(file) is None and file.read_bytes() == text.encode("utf-8")
