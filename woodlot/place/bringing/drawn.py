"""Shapes of a layer -> degrees: coordinate systems asked for and guessed, lines that close, outlines that cross
themselves.
"""

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from woodlot.errors import Fault
from woodlot.land.parcels import acres_geodesic, local_ft, on_map
from woodlot.place.bringing.model import Answers, Layer, Note, Question, There
from woodlot.place.remedies import short
from woodlot.place.shapes import place_words
from woodlot.place.tangles import tangled

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["closed", "in_degrees", "mended"]

#: Ends of a walked line this near each other close it: feet, or share of its length. Chosen.
_CLOSE_FT, _CLOSE_SHARE = 60.0, 0.08
#: Lines that close nearer than this close by themselves. Chosen.
_WORTH_SAYING_FT = 0.5
#: An outline whose acres move by less is mended when --yes is said. Chosen.
_SMALL_SHARE = 0.01
#: Without a .prj: within these miles of the place's other outlines a guess is safe. Chosen.
_NEAR_MILES = 30.0
_FEWEST_CORNERS = 4
#: Systems that maps of the north country come in, tried where a file does not say: degrees, web maps, zones of the
#: universal grid, states' own.
_STATES = (
    3078,
    3070,
    2251,
    2252,
    2253,
    26988,
    26989,
    26990,
    2287,
    2288,
    2289,
    26991,
    26992,
    26993,
    26849,
    26850,
    26851,
    26847,
    26848,
    2260,
    2261,
    2262,
    2271,
    5646,
    3437,
    2249,
)
SYSTEMS = (4326, 3857, *range(26913, 26921), *_STATES)


def in_degrees(
    layer: Layer, there: There, answers: Answers
) -> "tuple[gpd.GeoSeries | None, list[Question], list[Fault]]":
    """Flat shapes in longitude and latitude, None while nobody says how their coordinates are meant."""
    import geopandas as gpd
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    flat = gpd.GeoSeries(shapely.force_2d(layer.shapes))
    crs = layer.crs
    told = answers.told("crs", layer.file) if crs is None else None
    if told:
        try:
            crs = CRS.from_user_input(told)
        except CRSError:
            return None, [Question("crs_unknown", layer.file, "", "", False, (), {"said": told})], []
    if crs is None:
        guesses = _guesses(flat, there)
        near = [code for code, miles in guesses if miles <= _NEAR_MILES]
        first = near[0] if near else guesses[0][0] if guesses else ""
        safe = len(near) == 1 or first == "EPSG:4326"
        facts: dict[str, Any] = {
            "called": layer.called,
            "guess": _named(first),
            "bounds": tuple(float(x) for x in flat.total_bounds),
        }
        facts["miles"] = dict(guesses).get(first)
        question = Question("crs", layer.file, "", first, safe, tuple(code for code, _ in guesses), facts)
        answer = answers.get(question)
        if not answer:
            return None, [question], []
        crs = CRS.from_user_input(answer)
    try:
        return on_map(flat.set_crs(crs), "EPSG:4326"), [], []
    except Exception as error:  # pyproj and GEOS fail in their own ways on nonsense
        remedy = "The coordinates cannot be turned into longitude and latitude. Name their system with --crs."
        return None, [], [Fault(layer.file, None, "", short(str(error), 100), remedy)]


def _named(code: str) -> str:
    from pyproj import CRS

    return CRS.from_user_input(code).name if code else ""


def _guesses(flat: "gpd.GeoSeries", there: There) -> list[tuple[str, float]]:
    """Systems in which the shapes lie where they are used, with the miles to the place's outlines (infinite without),
    the nearest first.
    """
    from pyproj import CRS, Transformer

    west, south, east, north = flat.total_bounds
    x, y = (west + east) / 2.0, (south + north) / 2.0
    out = []
    for code in (f"EPSG:{number}" for number in SYSTEMS):
        crs = CRS.from_user_input(code)
        if crs.is_geographic != (abs(x) <= 180.0 and abs(y) <= 90.0):
            continue
        lon, lat = Transformer.from_crs(crs, "EPSG:4326", always_xy=True).transform(x, y)
        area = crs.area_of_use
        inside = area is not None and area.west <= lon <= area.east and area.south <= lat <= area.north
        if np.isfinite(lon) and inside and place_words([lon], [lat])[0] == "":
            out.append((code, _miles(lon, lat, there)))
    return sorted(out, key=lambda one: one[1])


def _miles(lon: float, lat: float, there: There) -> float:
    from pyproj import Geod

    from woodlot.units import FT_PER_MI, M_PER_FT

    if not len(there.parcels):
        return float("inf")
    middle = shapely.centroid(shapely.union_all(shapely.envelope(there.parcels.geometry.to_numpy())))
    return float(Geod(ellps="WGS84").inv(lon, lat, middle.x, middle.y)[2]) / M_PER_FT / FT_PER_MI


def closed(shapes: np.ndarray, layer: Layer) -> tuple[np.ndarray, list[Note]]:
    """Shapes in degrees with lines that close, or nearly, as outlines."""
    out, notes, gaps = shapes.copy(), list[Note](), list[float]()
    for at in np.flatnonzero(np.isin(shapely.get_type_id(shapes), [1, 2, 5])):
        corners = shapely.get_coordinates(shapes[at])
        if len(corners) < _FEWEST_CORNERS:
            continue
        line = local_ft(shapely.LineString(corners))
        feet = shapely.get_coordinates(line)
        gap = float(np.hypot(*(feet[0] - feet[-1])))
        if gap <= max(_CLOSE_FT, _CLOSE_SHARE * float(shapely.length(line))):
            out[at] = shapely.Polygon(corners)
            gaps.append(gap)
    if max(gaps, default=0.0) > _WORTH_SAYING_FT:
        notes.append(Note("closed", {"called": layer.called, "n": len(gaps), "gap_ft": max(gaps)}))
    return out, notes


def mended(shapes: np.ndarray, layer: Layer, answers: Answers) -> tuple[np.ndarray, list[Question], list[Note]]:
    """Outlines that cross themselves, mended where it moves their acres by little and the family agrees."""
    out, questions, notes = shapes.copy(), list[Question](), list[Note]()
    crossed = ~shapely.is_valid(shapes) & np.isin(shapely.get_type_id(shapes), [3, 6])
    for at in np.flatnonzero(crossed & ~tangled(shapes)):
        whole = _polygons(shapely.make_valid(shapes[at]))
        if whole is None:
            continue
        before, after = _walked_acres(shapes[at]), float(acres_geodesic(whole))
        if not after or abs(after - before) / after >= _SMALL_SHARE:
            continue
        row = int(layer.rows[at])
        facts = {"called": layer.called, "row": row, "before": before, "after": after}
        question = Question("mend", layer.file, str(row), "yes", True, ("yes", "no"), facts)
        answer = answers.get(question)
        if answer == "yes":
            out[at] = whole
            notes.append(Note("mended", facts))
        elif answer is None:
            questions.append(question)
    return out, questions, notes


def _polygons(shape: Any) -> Any:
    """The polygons of a mended shape together, None without any."""
    parts = shapely.get_parts(shapely.get_parts(shape))
    parts = parts[shapely.get_type_id(parts) == 3]
    if not len(parts):
        return None
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(list(parts))


def _walked_acres(shape: Any) -> float:
    """Acres as the corners were walked; loops walked the other way round count against them."""
    from pyproj import Geod

    from woodlot.units import M2_PER_AC

    rings = [ring for part in shapely.get_parts(shape) for ring in (part.exterior, *part.interiors)]
    sizes = [abs(Geod(ellps="WGS84").geometry_area_perimeter(ring)[0]) / M2_PER_AC for ring in rings]
    return float(max(sizes, default=0.0)) if len(sizes) == 1 else float(sizes[0] - sum(sizes[1:]))
