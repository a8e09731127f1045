"""The plots of the next day in the woods: on which spots they fall, and the rounds on which a family walks to them.

first_plots   where they fall and the way to them, as many as the hours hold
FirstPlots    what comes out
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.land import walk
from woodlot.land.parcels import local_crs, on_map
from woodlot.region import Region
from woodlot.stand.first_plots import plots_in_stand

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["FirstPlots", "first_plots"]

DEGREES = "EPSG:4326"


@dataclass(frozen=True)
class FirstPlots:
    """Plots to put next.

    plots: one row a plot in the order of the walk: plot_id, stand_id, parcel_id, round (1, 2 ...: each on ground that
    joins), for_good (to be marked so that it is found again), lon, lat, edge_ft (that it keeps from the edge), from_ft
    and from_deg (from the plot before; of the first from where the round begins), over_water and off_land (of that
    way), and the nearest landmark: mark, mark_name, mark_parcel, mark_ft, mark_deg. rounds: one row a round: round,
    kind, name, parcel_id, lon, lat of where it begins, back_ft, back_deg, back_over_water, back_off_land, walk_ft,
    minutes. no_room: stand_id -> plots for which there is none. later: stands without plots for another day.
    first_stand: where plots tell most. hours: that were to be had. minutes_mark: how the minutes of a plot came into
    their table.
    """

    plots: pd.DataFrame
    rounds: pd.DataFrame
    no_room: dict[str, int]
    later: tuple[str, ...]
    first_stand: str
    hours: float
    minutes_a_plot: float
    minutes_mark: str


@dataclass(frozen=True)
class _Block:
    """Ground that joins, on one map in feet, and the plots laid on it so far (plot_id, stand_id, edge_ft, lon, lat)."""

    parcels: "gpd.GeoDataFrame"
    features: "gpd.GeoDataFrame"
    strips: "gpd.GeoDataFrame"
    home: tuple[float, float] | None
    plots: pd.DataFrame = field(default_factory=pd.DataFrame)

    @cached_property
    def plane(self) -> Any:
        return local_crs(self.parcels)

    @cached_property
    def around(self) -> dict[str, Any]:
        """What plots keep off, on the map in feet."""
        import geopandas as gpd
        import shapely

        home = None
        if self.home is not None:
            home = gpd.GeoSeries([shapely.Point(*self.home)], crs=DEGREES).to_crs(self.plane).iloc[0]
        maps = {name: on_map(getattr(self, name), self.plane) for name in ("features", "strips")}
        return maps | {"home": home}

    def points(self, stand_id: str, shape: Any, count: int, seed: int, region: Region) -> pd.DataFrame:
        """The first ``count`` plots of the stand's own sequence."""
        import geopandas as gpd

        outline = on_map(gpd.GeoSeries([shape], crs=DEGREES), self.plane).iloc[0]
        at, edge_ft = plots_in_stand(stand_id, outline, self.around, count, seed, region)
        spots = gpd.GeoSeries(gpd.points_from_xy(at[:, 0], at[:, 1]), crs=self.plane).to_crs(DEGREES)
        return pd.DataFrame(
            {
                "plot_id": [f"{stand_id}-{k}" for k in range(1, len(at) + 1)],
                "stand_id": stand_id,
                "edge_ft": edge_ft,
                "lon": spots.x.round(6).to_numpy(),
                "lat": spots.y.round(6).to_numpy(),
            }
        )

    @cached_property
    def marks(self) -> pd.DataFrame:
        """Landmarks with lon and lat."""
        import geopandas as gpd

        marks = walk.landmarks(self.parcels, self.features, self.home, self.plane)
        spots = gpd.GeoSeries(gpd.points_from_xy(marks["x"], marks["y"]), crs=self.plane).to_crs(DEGREES)
        return marks.assign(lon=spots.x.round(6).to_numpy(), lat=spots.y.round(6).to_numpy())

    @cached_property
    def walked(self) -> tuple[pd.DataFrame, dict[str, Any]]:
        """Plots in the order of the walk with their ways, and the round itself."""
        plots, marks = self.plots.reset_index(drop=True), self.marks
        far, bearing = walk.legs(*_pairs(marks, plots))
        begin = marks["kind"].eq(marks["kind"].iloc[0]).to_numpy()  # the kind found most easily
        first = int(np.argmin(np.where(begin, far.min(axis=1), np.inf)))
        stops = pd.concat([marks.loc[[first], ["lon", "lat"]], plots[["lon", "lat"]]], ignore_index=True)
        feet, degrees = walk.legs(*_pairs(stops, stops))
        water, off = self._crossed(stops)
        order = walk.round_trip(feet * np.where(water | off, walk.AROUND, 1.0))
        a, b = np.array(order), np.roll(order, -1)
        ways = {"from_ft": feet, "from_deg": degrees, "over_water": water, "off_land": off}
        to = plots.iloc[b[:-1] - 1].assign(**{name: of[a[:-1], b[:-1]] for name, of in ways.items()})
        near = far[:, b[:-1] - 1].argmin(axis=0)
        to["mark"] = marks["kind"].to_numpy()[near]
        to["mark_name"], to["mark_parcel"] = (marks[name].to_numpy()[near] for name in ("name", "parcel_id"))
        to["mark_ft"], to["mark_deg"] = (of[near, b[:-1] - 1] for of in (far, bearing))
        back = {f"back_{name.removeprefix('from_')}": of[a[-1], 0].item() for name, of in ways.items()}
        begins = {name: marks[name].iloc[first] for name in ("kind", "name", "parcel_id", "lon", "lat")}
        return to.reset_index(drop=True), begins | back | {"walk_ft": float(feet[a, b].sum())}

    def _crossed(self, stops: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
        import geopandas as gpd
        import shapely

        spots = gpd.GeoSeries(gpd.points_from_xy(stops["lon"], stops["lat"]), crs=DEGREES).to_crs(self.plane)
        xy = np.column_stack([spots.x, spots.y])
        a, b = (np.repeat(xy[:, None], len(xy), axis=1), np.repeat(xy[None], len(xy), axis=0))
        ground = shapely.union_all(on_map(self.parcels.geometry, self.plane).to_numpy())
        return walk.crossings(a, b, ground, self.around["features"])

    def minutes(self, region: Region) -> float:
        """Time for the plots of the block and the walk."""
        each, pace = (region.figure("defaults_stand", name) for name in ("plot_minutes", "walk_ft_per_minute"))
        return each * len(self.plots) + self.walked[1]["walk_ft"] / pace if len(self.plots) else 0.0


def _pairs(a: pd.DataFrame, b: pd.DataFrame) -> tuple[np.ndarray, ...]:
    """Longitude and latitude of every point of ``a`` with every point of ``b``."""
    shape = len(a), len(b)
    one = (np.broadcast_to(a[name].to_numpy(dtype=float)[:, None], shape) for name in ("lon", "lat"))
    two = (np.broadcast_to(b[name].to_numpy(dtype=float)[None], shape) for name in ("lon", "lat"))
    return (*one, *two)


def first_plots(
    stands: "gpd.GeoDataFrame",
    parcels: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    strips: "gpd.GeoDataFrame",
    home: tuple[float, float] | None,
    steps: Sequence[tuple[str, int]],
    hours: float,
    taken: set[str],
    for_good: Mapping[str, int],
    seed: int = 1,
    *,
    region: Region,
) -> FirstPlots:
    """Where the plots fall, step after step until the hours are full by plots and walk, and the rounds to them.

    Parameters
    ----------
    stands
        Result of ``stand.layout.lay_out``.
    parcels
        Result of ``land.parcels.measure``.
    features, strips
        Frames in longitude and latitude; strips as of ``land.water.strips``.
    home
        (lon, lat) of the house.
    steps
        (stand_id, plots), those that tell most first (``next_plots.in_order``). The first step is always taken.
    hours
        To be had in the woods.
    taken
        Names of plots that were measured already: they are passed over.
    for_good
        stand_id -> its first so many plots are marked for good.
    seed
        Start of the random starts.
    region
        Whose figures are used.
    """
    rows = stands.set_index(stands["stand_id"].astype(str))
    of = parcels["block"].set_axis(parcels["parcel_id"].astype(str))
    keys = {one: of.get(str(rows.loc[one, "parcel_id"]), one) for one, _ in steps}
    each = region.figure("defaults_stand", "plot_minutes")
    might = int(np.searchsorted(np.cumsum([n for _, n in steps]) * each, 60.0 * hours, side="right"))
    there: dict[str, pd.DataFrame] = {}

    def ground(one: str) -> _Block:
        return _Block(_ground(keys[one], rows.loc[[one]], parcels), features, strips, home)

    def laid(first: int) -> dict[Any, _Block]:
        """The blocks with the plots of so many steps."""
        out: dict[Any, _Block] = {}
        for one, count in _in_all(steps[:first]).items():
            block = out.get(keys[one]) or ground(one)
            out[keys[one]] = replace(block, plots=pd.concat([block.plots, there[one].head(count)]))
        return {key: block for key, block in out.items() if len(block.plots)}

    few, many = min(1, len(steps)), min(max(might, 1), len(steps))
    for one, count in _in_all(steps[:many]).items():
        there[one] = _free(ground(one), rows.loc[one], one, count, taken, seed, region)
    while few < many:  # the most steps whose plots and walks fit
        middle = (few + many + 1) // 2
        fits = sum(block.minutes(region) for block in laid(middle).values()) <= 60.0 * hours
        few, many = (middle, many) if fits else (few, middle - 1)
    wanted = _in_all(steps[:few])
    no_room = {one: n - len(there[one]) for one, n in wanted.items() if len(there[one]) < n}
    later = tuple(dict.fromkeys(one for one, n in steps[few:] if n > 1 and one not in wanted))
    first = next((one for one in wanted if len(there[one])), "")
    return _together(laid(few), no_room, later, first, hours, for_good, region)


def _in_all(steps: Sequence[tuple[str, int]]) -> dict[str, int]:
    """Plots of each stand over some steps, in their order."""
    out: dict[str, int] = {}
    for one, n in steps:
        out[one] = out.get(one, 0) + n
    return out


def _free(
    block: _Block, row: pd.Series, stand_id: str, count: int, taken: set[str], seed: int, region: Region
) -> pd.DataFrame:
    """The next ``count`` plots of a stand's own sequence that nobody measured yet, fewer where there is no room."""
    gone = sum(head == stand_id and k.isdigit() for head, _, k in (name.rpartition("-") for name in taken))
    points = block.points(stand_id, row.geometry, count + gone, seed, region).assign(parcel_id=row["parcel_id"])
    return points[~points["plot_id"].isin(taken)].head(count)


def _ground(key: Any, stand: "gpd.GeoDataFrame", parcels: "gpd.GeoDataFrame") -> "gpd.GeoDataFrame":
    """The parcels of a block; a stand that meets no parcel is its own ground."""
    here = parcels[parcels["block"] == key]
    return here if len(here) else stand.assign(parcel_id="").reset_index(drop=True)


def _together(
    blocks: dict[Any, _Block],
    no_room: dict[str, int],
    later: tuple[str, ...],
    first: str,
    hours: float,
    for_good: Mapping[str, int],
    region: Region,
) -> FirstPlots:
    """The plots and rounds of all blocks, one after the other."""
    walks = [(n, block.walked, block.minutes(region)) for n, block in enumerate(blocks.values(), start=1)]
    plots = pd.concat([of[0].assign(round=n) for n, of, _ in walks]) if walks else pd.DataFrame()
    if len(plots):
        number = plots["plot_id"].str.rpartition("-")[2].astype(int)
        plots["for_good"] = number <= plots["stand_id"].map(for_good).fillna(0)
    rounds = pd.DataFrame([{"round": n, **of[1], "minutes": minutes} for n, of, minutes in walks])
    of_plot = region.records("defaults_stand", "name")["plot_minutes"]
    return FirstPlots(plots, rounds, no_room, later, first, hours, float(of_plot["value"]), of_plot["seen"])
