"""The layers as one folium page that opens with no network at all.

html(answers, parcels, stands, features)    the whole page as text; same inputs, same bytes
Woods                                       a folium map with Leaflet inside the page and a pane for each kind of thing
"""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import folium
from branca.element import Element, Figure
from folium.map import CustomPane
from folium.template import Template as FoliumTemplate
from jinja2 import Template

from woodlot.answers.types import Answers
from woodlot.map import drawing, field_notes, layers, map_on_paper, offline, printed
from woodlot.map.map_words import GROUP_GROUND
from woodlot.say.words import BEFORE_HUNT
from woodlot.trade import PLOT_TO_PUT, SHUT, WALK, WISHES

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["CANVAS_FROM", "Woods", "html"]

#: From this many stands on, Leaflet draws on a canvas: gray fill with the word above it in place of a hatch.
CANVAS_FROM = 2_500
PANES = {
    "under": 380,
    "neighbors": 390,
    "stands": 400,
    "hatch": 405,
    "edges": 407,
    "water": 410,
    "lines": 420,
    "chosen": 425,
    "deer": 430,
    "deer-marks": 432,
    "here": 436,
    "notes": 440,
    "words": 450,
}
SCRIPTS = ("words.js", "sheet.js", "where.js", "notes.js", "page.js")


class _AsIs(Element):
    """Text that goes into the page as it is, not as a template."""

    def __init__(self, text: str, name: str):
        super().__init__()
        self._name, self._id, self.text = "as_is", name, text

    def render(self, **_: Any) -> str:
        return self.text


class _Page(Figure):
    """The frame of the page: page.html in place of folium's own frame."""

    def __init__(self, words: dict[str, Any]):
        super().__init__()
        self._id = "page"
        self._template = Template(offline.own("page.html"))
        self.header._children.clear()
        self.__dict__.update(words)


class Woods(folium.Map):
    """A folium map that fetches nothing: Leaflet and jQuery stand in the page, no tiles, no outside style.

    Layers of folium that need only Leaflet and jQuery can be added to it (GeoJson, Circle, Popup, Tooltip and so on).
    """

    default_js: list = []  # noqa: RUF012 - folium reads these two from the class
    default_css: list = []  # noqa: RUF012
    _template = FoliumTemplate(
        """
        {% macro html(this, kwargs) %}<div class="woods" id={{ this.get_name()|tojson }}></div>{% endmacro %}
        {% macro script(this, kwargs) %}
        var {{ this.get_name() }} = L.map({{ this.get_name()|tojson }}, {center: {{ this.location|tojson }},
          ...{{ this.options|tojavascript }} });
        {% endmacro %}
        """
    )

    def __init__(self, center: tuple[float, float], canvas: bool = False):
        """Center as (latitude, longitude); canvas draws shapes on a canvas, for thousands of stands."""
        super().__init__(
            location=center,
            tiles=None,
            zoom_start=15,
            prefer_canvas=canvas,
            zoom_control=False,
            attribution_control=False,
            zoom_snap=0,
            zoom_delta=0.5,
            max_zoom=22,
            min_zoom=6,
            wheel_px_per_zoom_level=120,
        )
        self._id = "woods"
        for name, level in PANES.items():
            pane = CustomPane(name, z_index=level, pointer_events=name in ("stands", "notes"))
            pane._id = name.replace("-", "_")
            self.add_child(pane, name=f"pane_{name}")


class _Shapes(folium.GeoJson):
    """GeoJSON in a pane of its own, under a name that never changes."""

    def __init__(self, collection: dict[str, Any], name: str, pane: str):
        super().__init__(collection, name=name, control=False, pane=pane, smooth_factor=0.5)
        self._id = name


def _collection(shapes: dict[str, Any]) -> dict[str, Any]:
    return _features((key, {"style": {}}, shape) for key, shape in shapes.items())


def _features(rows: Iterable[tuple[str, dict[str, Any], dict[str, Any]]]) -> dict[str, Any]:
    """A collection of (id, properties, geometry)."""
    features = [{"type": "Feature", "id": i, "properties": p, "geometry": g} for i, p, g in rows]
    return {"type": "FeatureCollection", "features": features}


_FEATURE_STYLE: dict[str, list[dict[str, Any]]] = {
    "home_ground": [{"fillColor": "#F7F4EC", "fillOpacity": 1, "color": "#1E221C", "weight": 1.6, "dashArray": "6 4"}],
    "lake": [{"fillColor": "url(#waves)", "fillOpacity": 1, "color": "#1F6FA8", "weight": 1.6}],
    "stream": [{"color": "#FFFFFF", "weight": 6.5, "fill": False}, {"color": "#1F6FA8", "weight": 3.2, "fill": False}],
    "road": [{"color": "#1E221C", "weight": 5, "fill": False}, {"color": "#FFFFFF", "weight": 3, "fill": False}],
    **{
        wish: [
            {"color": "#FFFFFF", "weight": 4, "fill": False},
            {"color": "#1E221C", "weight": 1.8, "dashArray": "10 4"}
            | ({"fillColor": "url(#shut)", "fillOpacity": 1} if wish in SHUT else {"fill": False}),
        ]
        for wish in WISHES
    },
    WALK: [{"color": "#FFFFFF", "weight": 4, "fill": False}, {"color": "#1E221C", "weight": 1.6, "dashArray": "8 4"}],
    "water_strip": [
        {"fillColor": "url(#dots-water)", "fillOpacity": 1, "color": "#1F6FA8", "weight": 0.8, "dashArray": "2 3"}
    ],
}


def _feature_collection(features: list[dict[str, Any]]) -> dict[str, Any]:
    """Lines and areas, each once for every style it wears; points are drawn as marks by the page."""
    return _features(
        (f"{i}-{k}", {"style": {"opacity": 1, **style}, "parcels": f["parcels"]}, f["shape"])
        for i, f in enumerate(features)
        for k, style in enumerate(_FEATURE_STYLE.get(f["kind"], []))
        if f["shape"]["type"] != "Point"
    )


def html(
    answers: Answers,
    parcels: "gpd.GeoDataFrame",
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame | None" = None,
    pictures: dict[str, dict[str, dict[str, Any]]] | None = None,
    contours: "gpd.GeoDataFrame | None" = None,
    group: Sequence[Any] = (),
    drawn: dict[str, Any] | None = None,
) -> str:
    """The whole map page as text. It holds everything it needs and is refused if it would fetch anything.

    Parameters
    ----------
    answers
        All that was answered for the place.
    parcels, stands, features
        Geo frames in longitude and latitude.
    pictures
        One small picture a parcel to look at in place of the fills: "ground" and "air" -> parcel_id -> data, kind,
        bounds, as ``woodlot.land.raster_readings.shade`` and ``.picture`` give them.
    contours
        Lines of equal height as ``woodlot.land.terrain.contours`` gives them; off until asked for.
    group
        Outlines of neighbors who share the deer, in degrees: thin lines among the deer sign, nothing else.
    drawn
        ``layers.build`` of all these, where it is there already.

    Returns
    -------
    str, HTML in UTF-8. The same inputs give the same bytes.

    Raises
    ------
    InputError
        If a parcel has no outline, or the page would fetch something from outside.
    """
    drawn = drawn or layers.build(answers, parcels, stands, features, pictures, contours, group)
    return offline.finished(_page(drawn, answers).render())


def _for_scripts(drawn: dict[str, Any]) -> dict[str, Any]:
    """What the scripts need: all but the outlines, which stand in the map's own layers."""
    features = [f | {"shape": f["shape"]["type"]} for f in drawn["features"]]
    return {k: v for k, v in drawn.items() if k not in ("shapes", "head")} | {"features": features}


def _page(drawn: dict[str, Any], answers: Answers) -> Figure:
    home = next((p for p in drawn["parcels"] if p["home"]), drawn["parcels"][0])
    (south, west), (north, east) = home["bounds"]
    keys = [q["key"] for q in drawn["questions"]]
    shown = "".join(
        f"{where} .ask-{k}{{display:inline}}{where} .ask-{k}.block{{display:block}}"
        for k in keys
        for where in (f'[data-question="{k}"]', f"html:not(.js) #ask-{k}:checked~#print")
    )
    page = _Page(
        {
            "policy": offline.POLICY,
            "head": drawn["head"],
            "work": drawn["work"],
            "mind": drawn["mind"],
            "before_hunt": BEFORE_HUNT,
            "parcels": drawn["parcels"],
            "questions": [q | {"letters": q["key"] == "grows"} for q in drawn["questions"]],
            "hatches": drawing.hatches(),
            "to_put": any(f["kind"] == PLOT_TO_PUT for f in drawn["features"]),
            "group": GROUP_GROUND if drawn["group"] else "",
            "shut": next((p["shut"] for p in drawn["parcels"] if p["shut"]), ""),
            "plan": map_on_paper.plan_svg(drawn),
            "plan_small": map_on_paper.plan_svg(drawn, named=False, width=90, height=74),
            "plan_large": map_on_paper.plan_svg(drawn, width=360, height=260),
            "printed": printed.pages(drawn),
            "tag_year": (drawn["years"] or ["2026"])[-1][2:],
            "data": offline.safe_json(_for_scripts(drawn) | {"field": field_notes.form(answers)}),
            "scripts": "".join(offline.own(s) for s in SCRIPTS)
            + "const woods=woodsPage(map_woods,geo_json_stands,geo_json_parcels,geo_json_features);",
        }
    )
    for name, text in (
        ("leaflet", f"<script>{offline.leaflet_js()}</script>"),
        ("jquery", f"<script>{offline.jquery_js()}</script>"),
        ("pins", f"<script>{offline.icon_js()}</script>"),
        ("leaflet_css", f"<style>{offline.leaflet_css()}</style>"),
        ("own_css", f"<style>{offline.own('page.css')}{shown}</style>"),
    ):
        page.header.add_child(_AsIs(text, name), name=name)
    woods = Woods(((south + north) / 2, (west + east) / 2), canvas=len(drawn["stands"]) >= CANVAS_FROM)
    page.add_child(woods, name="woods")
    here = {
        "parcels": _collection(drawn["shapes"]["parcels"]),
        "stands": _collection(drawn["shapes"]["stands"]),
        "features": _feature_collection(drawn["features"]),
    }
    for name, pane in (("parcels", "lines"), ("stands", "stands"), ("features", "water")):
        woods.add_child(_Shapes(here[name], name, pane), name=name)
    return page
