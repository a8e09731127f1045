"""The same layers for other tools, by open standards: GPX for a handheld, KML for an earth viewer.

files(answers, parcels, stands, features)     "woods.gpx" and "woods.kml" as text, ready to be written
gpx(layers), kml(layers)                      one of them, from ``woodlot.map.layers.build``
walk_gpx(name, plots)                         plots still to be measured and the walks to them

Tracks are boundaries of parcels and stands; waypoints are notes with a place, deer plots and marked points. The lines
are not survey lines, and both files say so. (A GeoPackage of the place is written by ``woodlot.place.geopackage``.)
"""

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape, quoteattr

from woodlot.answers.plot_types import FirstPlots
from woodlot.answers.types import Answers
from woodlot.map import layers as layering
from woodlot.map.drawing import rings
from woodlot.map.ground_questions import browsed_words
from woodlot.map.layers import FOOT
from woodlot.say.first_plots import PLOTS_TO_MEASURE
from woodlot.say.words import NBSP, capital

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["files", "gpx", "kml", "walk_gpx"]

#: Characters that XML 1.0 cannot hold, not even as references.
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


_GPX_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<gpx version="1.1" creator="woodlot" xmlns="http://www.topografix.com/GPX/1/1">'
)


def files(
    answers: Answers,
    parcels: "gpd.GeoDataFrame",
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame | None" = None,
    drawn: dict[str, Any] | None = None,
) -> dict[str, str]:
    """File name -> text of the GPX and the KML file of one place; ``drawn`` is ``layers.build`` where it is there."""
    drawn = drawn or layering.build(answers, parcels, stands, features)
    return {"woods.gpx": gpx(drawn), "woods.kml": kml(drawn)}


def _element(tag: str, words: str) -> str:
    """An element, or nothing for no words; without word joiners and hard spaces, which small screens show as boxes."""
    plain = escape(_UNFIT.sub("", words.replace("\u2060", "").replace(NBSP, " ")))
    return f"<{tag}>{plain}</{tag}>" if words else ""


def _foot(drawn: dict[str, Any]) -> str:
    """Words of the whole file: the lines are no survey lines, and what to mind with deer."""
    return " ".join(filter(None, (drawn["head"]["foot"], drawn["mind"]["all"])))


def _points(drawn: dict[str, Any]) -> Iterator[tuple[str, str, float, float, str]]:
    """Kind, name, longitude, latitude and words of everything that is a point."""
    for note in drawn["notes"]:
        if note["lon"] is not None and note["lat"] is not None:
            yield (
                "note",
                f"{note['short'].replace('’', '')} {note['title']}"[:80],
                note["lon"],
                note["lat"],
                ". ".join([note["card"]["kicker"], *note["card"].get("cautions", ())]),
            )
    for plot in drawn["deer"]:
        seen = [f"{plot['groups']:.0f} pellet groups"] if plot["groups"] is not None else []
        seen += [browsed_words(plot["browsed_pct"])] if plot["browsed_pct"] is not None else []
        yield (
            "deer plot",
            f"deer {plot['plot']}",
            plot["lon"],
            plot["lat"],
            ". ".join(filter(None, (", ".join(seen), drawn["mind"]["sign"]))),
        )
    for feature in drawn["features"]:
        if feature["shape"]["type"] == "Point":
            lon, lat = feature["shape"]["coordinates"][:2]
            yield feature["kind"].replace("_", " "), feature["words"], lon, lat, feature["mind"]


def _outlines(drawn: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any], str]]:
    """Kind, name, geometry and words of everything that is a line or an area."""
    for parcel in drawn["parcels"]:
        words = " ".join(w for w in (f"{parcel['acres']};", parcel["where"], parcel["deed"]) if w)
        yield "parcel", parcel["name"], drawn["shapes"]["parcels"][parcel["id"]], words
    for stand in drawn["stands"]:
        shape = drawn["shapes"]["stands"].get(stand["id"])
        if shape is not None:
            card = stand["card"]
            yield "stand", stand["name"], shape, f"{card['title']}. {card['big']}; {card['under']}"
    for feature in drawn["features"]:
        if feature["shape"]["type"] != "Point":
            yield feature["kind"].replace("_", " "), feature["words"], feature["shape"], ""


def gpx(drawn: dict[str, Any]) -> str:
    """GPX 1.1: waypoints, then a track for each boundary and line."""
    head = drawn["head"]
    out = [
        _GPX_HEAD,
        f"<metadata>{_element('name', head['name'])}{_element('desc', _foot(drawn))}</metadata>",
    ]
    for kind, name, lon, lat, words in _points(drawn):
        out.append(f"<wpt {_at(lat, lon)}>{_head(name, words, kind)}</wpt>")
    for kind, name, shape, words in _outlines(drawn):
        parts = [
            "<trkseg>" + "".join(f'<trkpt lat="{p[1]:.6f}" lon="{p[0]:.6f}"/>' for p in ring) + "</trkseg>"
            for ring in rings(shape)
        ]
        out.append(f"<trk>{_head(name, words, kind)}{''.join(parts)}</trk>")
    return "\n".join([*out, "</gpx>", ""])


def _head(name: str, words: str, kind: str) -> str:
    return _element("name", name) + _element("desc", words) + _element("type", kind)


def walk_gpx(name: str, plots: FirstPlots | None) -> str:
    """GPX 1.1 of the plots still to be measured: a waypoint each, and a route for each walk there and back."""
    out = [_GPX_HEAD, f"<metadata>{_element('name', f'{name}: {PLOTS_TO_MEASURE}')}{_element('desc', FOOT)}</metadata>"]
    here = plots.plots if plots else ()
    rounds = plots.rounds if plots else ()
    out += [f"<wpt {_at(p.lat, p.lon)}>{_head(p.plot_id, p.whole_way, 'plot')}</wpt>" for p in here]
    for one in rounds:
        stops = [(one.begin, one.lat, one.lon)]
        stops += [(p.plot_id, p.lat, p.lon) for p in here if p.round == one.round]
        points = "".join(
            f"<rtept {_at(lat, lon)}>{_element('name', of)}</rtept>" for of, lat, lon in [*stops, stops[0]]
        )
        out.append(f"<rte>{_head(capital(one.begin), one.words, 'walk')}{points}</rte>")
    return "\n".join([*out, "</gpx>", ""])


def _at(lat: float, lon: float) -> str:
    return f'lat="{lat:.6f}" lon="{lon:.6f}"'


def kml(drawn: dict[str, Any]) -> str:
    """KML 2.2: a folder for each kind of thing, no styles."""
    head = drawn["head"]
    folders: dict[str, list[str]] = {}
    for kind, name, shape, words in _outlines(drawn):
        folders.setdefault(kind, []).append(_placemark(name, words, _kml_shape(shape)))
    for kind, name, lon, lat, words in _points(drawn):
        folders.setdefault(kind, []).append(
            _placemark(name, words, f"<Point><coordinates>{lon:.6f},{lat:.6f}</coordinates></Point>")
        )
    body = "\n".join(
        f"<Folder id={quoteattr(kind.replace(' ', '-'))}>{_element('name', kind)}\n" + "\n".join(marks) + "\n</Folder>"
        for kind, marks in folders.items()
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        f"{_element('name', head['name'])}{_element('description', _foot(drawn))}\n{body}\n</Document></kml>\n"
    )


def _placemark(name: str, words: str, shape: str) -> str:
    return f"<Placemark>{_element('name', name)}{_element('description', words)}{shape}</Placemark>"


def _kml_shape(shape: dict[str, Any]) -> str:
    def points(ring: list) -> str:
        return "<coordinates>" + " ".join(f"{p[0]:.6f},{p[1]:.6f}" for p in ring) + "</coordinates>"

    kind, where = shape["type"], shape["coordinates"]
    if kind == "Polygon":
        outer = f"<outerBoundaryIs><LinearRing>{points(where[0])}</LinearRing></outerBoundaryIs>"
        holes = "".join(f"<innerBoundaryIs><LinearRing>{points(h)}</LinearRing></innerBoundaryIs>" for h in where[1:])
        return f"<Polygon>{outer}{holes}</Polygon>"
    if kind == "Point":
        return f"<Point>{points([where])}</Point>"
    if kind == "LineString":
        return f"<LineString>{points(where)}</LineString>"
    one = kind.removeprefix("Multi")
    return f"<MultiGeometry>{''.join(_kml_shape({'type': one, 'coordinates': part}) for part in where)}</MultiGeometry>"
