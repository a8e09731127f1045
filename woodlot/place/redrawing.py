"""The maps of a place alone, and written anew with other lines.

maps     parcels, stands and features, while another table may need mending
redraw   a map with new outlines in place of its own; the file as it was is kept beside it
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from woodlot.columns import MAPS, TABLES
from woodlot.errors import Fault, PlaceError
from woodlot.place.cells import full_heading
from woodlot.place.cover_words import Meant, known_words
from woodlot.place.cross import check_all
from woodlot.place.mapfiles import geojson_rows
from woodlot.place.naming import own_words
from woodlot.place.reading import in_order, no_parcels, unread
from woodlot.place.settings import read_settings
from woodlot.place.shapes import GEOJSON, read_attributes
from woodlot.place.single_files import a_place
from woodlot.place.tables import find, map_frame, read_all
from woodlot.place.writing import replace_map
from woodlot.region import Region

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Maps", "maps", "redraw"]

#: Decimals of a degree that are written: a tenth of a millimeter.
DECIMALS = 9


@dataclass(frozen=True, eq=False)
class Maps:
    """What is drawn of a place: its name and region, parcels, stands, features, table -> its file, words for covers."""

    name: str
    region: Region
    parcels: "gpd.GeoDataFrame"
    stands: "gpd.GeoDataFrame"
    features: "gpd.GeoDataFrame"
    paths: dict[str, Path]
    covers: Mapping[str, Meant]


def maps(folder: str | Path) -> Maps:
    """Parcels, stands and features of a place; no other table is read. Raises PlaceError with every fault of them."""
    faults: list[Fault] = []
    home = a_place(folder)
    settings = read_settings(home, None, faults, [])
    paths = {table: path for table, path in find(home, faults).items() if table in (*MAPS, "words")}
    sheets, shapes, broken = read_all(paths, faults, [], region=settings.region)
    faults = [fault for fault in faults if fault.file != sheets["words"].file]
    check_all(sheets, broken | (set(TABLES) - set(MAPS)), date.today(), faults, [])
    if "parcels" not in paths and "parcels" not in broken:
        faults.append(no_parcels([path.name for path in unread(home)]))
    if faults:
        raise PlaceError(in_order(faults, paths))
    frames = {table: map_frame(sheets[table], shapes.get(table)) for table in MAPS}
    return Maps(
        settings.name,
        settings.region,
        **frames,
        paths=paths,
        covers=known_words(settings.region, own_words(sheets, "cover")),
    )


def redraw(there: Maps, table: str, new: "gpd.GeoDataFrame") -> tuple[str, str]:
    """Write a map file anew, the outlines that differ by those of ``new``; all else in it stays.

    Returns the names of the file written (GeoJSON) and of the one kept. Raises PlaceError when the disk refuses.
    """
    path, old = there.paths[table], getattr(there, table)
    shapes = [json.loads(one) for one in shapely.to_geojson(_rounded(new.geometry.to_numpy()))]
    if path.suffix.lower() in GEOJSON:
        whole, features, _ = geojson_rows(path)
        same = old.geometry.geom_equals(new.geometry).to_numpy() & ("crs" not in whole)
        for feature, shape, keep in zip(features, shapes, same, strict=True):
            if not keep:
                feature["geometry"] = shape
                feature.pop("bbox", None)
        whole = {k: v for k, v in whole.items() if k not in ("crs", "bbox")} if features is not whole else whole
    else:
        cells = read_attributes(path, table, table != "features", [], [], there.covers)
        names = [full_heading(table, str(name), cells.cut) for name in cells.frame.columns]
        rows = cells.frame.set_axis(names, axis=1).to_dict("records")
        whole = {"type": "FeatureCollection", "features": [_feature(*one) for one in zip(rows, shapes, strict=True)]}
    return replace_map(path, table, _text(whole).encode("utf-8"))


def _rounded(shapes: np.ndarray) -> np.ndarray:
    return shapely.transform(shapes, lambda xy: np.round(xy, DECIMALS))


def _feature(row: dict[Any, Any], shape: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "properties": {k: v or None for k, v in row.items()}, "geometry": shape}


def _text(whole: dict[str, Any]) -> str:
    """A GeoJSON with one feature a line."""

    def plain(part: Any) -> str:
        return json.dumps(part, ensure_ascii=False)

    if "features" not in whole:
        return plain(whole) + "\n"
    head = [f"{plain(k)}: {plain(v)}" for k, v in whole.items() if k != "features"]
    lines = ",\n".join(plain(one) for one in whole["features"])
    return "{" + ", ".join([*head, f'"features": [\n{lines}\n]']) + "}\n"
