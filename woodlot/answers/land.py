"""The land in the answers: parcels with what stands on them, the ground of each stand and how far the road is.

parcels_wood    parcels with their cords
contacts_table  how parcels meet
problems_table  where lines do not fit
near_table      lines that nearly agree
parcels_answer  the same with what meets what, and this winter's cords
ground_of       what rasters and water say of a stand
drawn           what the map draws beside the answers
distances_of    the ways from a stand to road, landing and home
"""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import pandas as pd

from woodlot import trade
from woodlot.answers.noted import parcels_noted
from woodlot.answers.plain_cells import number, plain_cell
from woodlot.answers.stand_types import Distance, Ground, Parcel, ParcelWood
from woodlot.say import ground, reasons, words
from woodlot.say.plan_reasons import shut_words
from woodlot.season import Season
from woodlot.stand.layout import Measured

__all__ = [
    "contacts_table",
    "distances_of",
    "drawn",
    "ground_of",
    "near_table",
    "parcels_answer",
    "parcels_wood",
    "problems_table",
]


def parcels_wood(season: Season) -> list[ParcelWood]:
    """Parcels with their cords on measured ground."""
    frame = season.measured.parcels
    cords = season.standing.totals["cords by parcel_id"]
    rows = zip(frame["parcel_id"], frame["name"].fillna(frame["parcel_id"]), frame["acres"], strict=True)
    return [ParcelWood(pid, name, float(acres), reasons.plain(cords.get(pid))) for pid, name, acres in rows]


def parcels_answer(season: Season) -> tuple[Parcel, ...]:
    """Parcels with acres, deed, contacts and cords, and what is cut on them this winter."""
    contacts = season.measured.contacts
    tasks, walked = season.winter.tasks, parcels_noted(season.place)
    out = []
    rows = season.measured.parcels.drop(columns="geometry").to_dict("records")
    for row, wood in zip(rows, parcels_wood(season), strict=True):
        pid = wood.parcel_id
        take = float(sum(task.cords for task in tasks if task.parcel_id == pid))
        here = contacts[(contacts["parcel_a"] == pid) | (contacts["parcel_b"] == pid)]
        out.append(
            Parcel(
                parcel_id=pid,
                name=wood.name,
                acres=wood.acres,
                deed_acres=number(row["deed_acres"]),
                difference_pct=number(row["difference_pct"]),
                miles_from_home=number(row["miles_from_home"]),
                is_home=bool(row["is_home"]),
                block=int(row["block"]),
                contacts=tuple(ground.contacts(here, season.measured.parcels)),
                cords=wood.cords,
                sentence=f"{words.amount(take, 'cords')} this winter." if take else "Nothing this winter.",
                lines_walked=walked.get(pid),
            )
        )
    return tuple(out)


def ground_of(row: Mapping[Any, Any], heights: bool) -> Ground:
    """What the view from above says of one stand (a row of ``seen.stands``); heights: whether any are known."""
    cells = {f.name: plain_cell(row[f.name]) for f in fields(Ground) if f.name in row}
    return Ground(**cells, words=ground.workable(row, heights))


def contacts_table(land: Measured) -> pd.DataFrame:
    """How parcels meet, in numbers and words."""
    return land.contacts.drop(columns="places").assign(words=ground.contacts(land.contacts, land.parcels))


def problems_table(land: Measured) -> pd.DataFrame:
    """Where the lines do not fit, in numbers and words."""
    return land.problems.drop(columns="how_much").assign(words=ground.problems(land.problems))


def near_table(near: pd.DataFrame, parcels: pd.DataFrame, folder: str) -> pd.DataFrame:
    """Lines that nearly agree, in numbers and words; folder: the place as it was typed."""
    return near.assign(words=ground.near_lines(near, parcels, folder))


def drawn(season: Season) -> dict[str, Any]:
    """What the map draws beside the answers: outlines, features with the strips along water, pictures, contours, the
    ground of neighbors who share the deer.
    """
    shapes = season.place.features
    shapes = shapes[~shapes["kind"].isin(list(trade.WISHES))]
    strips = season.seen.strips.assign(kind="water_strip")
    each = (strips, _wishes(season), _plots_to_put(season))
    more = [some[["kind", "name", "geometry"]] for some in each if len(some)]
    if more:
        shapes = pd.concat([shapes, *more], ignore_index=True)
    views: dict[str, dict[str, Any]] = {}
    for pid, picture in season.backdrop.pictures.items():
        views.setdefault("ground" if picture["what"] == "shade" else "air", {})[pid] = picture
    return {
        "parcels": season.measured.parcels,
        "stands": season.measured.stands,
        "features": shapes,
        "pictures": views,
        "contours": season.backdrop.contours,
        "group": [one.outline for one in season.group.others],
    }


def _wishes(season: Season) -> Any:
    """Ground under a wish as features: its shapes, and stands that are shut whole."""
    held, stands = season.wishes, season.measured.stands
    whole = held.stands[held.stands["wish"].isin(trade.SHUT) & held.stands["whole"]]
    shut = stands[["stand_id", "geometry"]].merge(whole.rename(columns={"wish": "kind"}), on="stand_id")
    shut = shut.rename(columns={"until": "wish_until"}).assign(name=None)
    out = pd.concat([held.shapes, shut], ignore_index=True) if len(shut) else held.shapes
    until = [None if pd.isna(year) else int(year) for year in out["wish_until"]]
    named = [
        ": ".join(filter(None, (shut_words(kind, year), name if isinstance(name, str) else "")))
        for kind, year, name in zip(out["kind"], until, out["name"], strict=True)
    ]
    return out.assign(name=named)


def _plots_to_put(season: Season) -> Any:
    """Plots still to be measured and the walks to them, as features: kind, name, geometry."""
    import geopandas as gpd
    import shapely

    put = season.first_plots
    if not len(put.plots):
        return []
    ends = put.rounds.set_index("round")[["lon", "lat"]]
    walks = [
        shapely.linestrings(pd.concat([ends.loc[[n]], rows[["lon", "lat"]], ends.loc[[n]]]).to_numpy())
        for n, rows in put.plots.groupby("round")
    ]
    points = shapely.points(put.plots["lon"], put.plots["lat"])
    kinds = [trade.WALK] * len(walks) + [trade.PLOT_TO_PUT] * len(points)
    names = ["walk to the plots"] * len(walks) + [f"plot {one}" for one in put.plots["plot_id"]]
    return gpd.GeoDataFrame({"kind": kinds, "name": names}, geometry=[*walks, *points], crs="EPSG:4326")


def distances_of(away: pd.DataFrame) -> tuple[Distance, ...]:
    """The ways from one stand (rows of ``seen.distances``)."""
    rows = away.drop(columns="stand_id").to_dict("records")
    return tuple(
        Distance(**{str(k): plain_cell(v) for k, v in row.items()}, words=ground.distance(row)) for row in rows
    )
