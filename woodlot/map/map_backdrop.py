"""Pictures under the stands, and lines of equal height: views of the ground beside the questions.

views(answers, pictures)       a question for each kind of picture: "ground" (light and shadow) and "air"
pictures(given, parcels)       checked, as data: addresses by kind and parcel
contour_lines(frame)           GeoJSON features of the contours, every fifth marked
geojson(frame)                 shapes as GeoJSON, to a tenth of a meter

A picture stands in place of the fills, never under half-clear ones: two things on top of each other muddy both.
"""

import json
import re
from typing import TYPE_CHECKING, Any

from woodlot.answers.stand_types import Parcel, Stand
from woodlot.answers.types import Answers
from woodlot.errors import InputError
from woodlot.map.map_words import amount
from woodlot.map.questions import Mark, Question, question
from woodlot.say.words import plural

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["VIEWS", "contour_lines", "geojson", "pictures", "views"]

#: Kinds of picture.
VIEWS = ("ground", "air")
_KINDS = ("image/webp", "image/png", "image/jpeg")
_BASE64 = re.compile(r"[A-Za-z0-9+/]+={0,2}")


def pictures(given: dict[str, dict[str, dict[str, Any]]] | None, parcel_ids: list[str]) -> dict[str, dict[str, Any]]:
    """For each kind the parcels' pictures as data: addresses with their bounds.

    Parameters
    ----------
    given
        kind ("ground" or "air") -> parcel_id -> mapping with data (base64 text), kind ("image/webp") and bounds
        ([[south, west], [north, east]]), as ``woodlot.land.raster_readings.shade`` and ``.picture`` give them.
    parcel_ids
        Parcels of the page; pictures of others are left out.

    Raises
    ------
    InputError
        For an unknown kind of view or picture, or data that is not base64.
    """
    out: dict[str, dict[str, Any]] = {}
    for view, by_id in (given or {}).items():
        if view not in VIEWS:
            raise InputError(f"a picture can be {' or '.join(VIEWS)}, not {view!r}")
        for pid, shown in by_id.items():
            if shown["kind"] not in _KINDS or not _BASE64.fullmatch(shown["data"]):
                raise InputError(f"the {view} picture of {pid} must be base64 of {', '.join(_KINDS)}")
            if str(pid) in parcel_ids:
                bounds = [[round(float(v), 7) for v in corner] for corner in shown["bounds"]]
                src = f"data:{shown['kind']};base64,{shown['data']}"
                out.setdefault(view, {})[str(pid)] = {"src": src, "bounds": bounds}
    return out


def views(answers: Answers, shown: dict[str, dict[str, Any]]) -> list[Question]:
    """A question for each kind of picture there is; stands are only outlined and named."""
    out = []
    for view, by_id in shown.items():

        def head(parcel: Parcel, stands: list[Stand], here: dict = by_id) -> tuple[str, str]:
            if parcel.parcel_id not in here:
                return "No picture of this parcel", "The raster does not reach it."
            return f"{plural(len(stands), 'stand')} outlined", "Nothing is counted from a picture."

        out.append(question(answers, view, [], lambda s: Mark(None, ""), head, lambda s: ("", amount(s.acres, 1))))
    return out


def geojson(frame: "gpd.GeoDataFrame") -> list[dict[str, Any]]:
    """Shapes of a frame as GeoJSON geometries, rounded to six decimals (a tenth of a meter)."""
    import numpy as np
    import shapely

    return [*map(json.loads, shapely.to_geojson(shapely.transform(frame.geometry.array, lambda xy: np.round(xy, 6))))]


def contour_lines(frame: "gpd.GeoDataFrame | None") -> list[dict[str, Any]]:
    """GeoJSON features with parcel, level in feet and whether the line is a fifth one."""
    import numpy as np

    if frame is None or not len(frame):
        return []
    fifth = np.isclose(np.mod(frame["level_ft"] / frame["interval_ft"], 5), 0)
    return [
        {
            "type": "Feature",
            "properties": {"parcel": str(pid), "ft": float(level), "fifth": bool(heavy)},
            "geometry": shape,
        }
        for pid, level, heavy, shape in zip(frame["parcel_id"], frame["level_ft"], fifth, geojson(frame), strict=True)
    ]
