"""Stand tables that grow: trees per acre by species and 2-inch class, one year at a time, every year balanced.

Ladder of sizes   classes, class_of, to_array
Growing           project, Projection, in_year
Looking at it     relative_density, outside_band

Made for uneven-aged hardwoods, and for any stand that has no equation of its own. Pine and aspen of one age are in
``stand.even_aged``. One step is a year; everything that drives it is taken at its start.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.stand.stocking import relative_density_ducey_2010
from woodlot.tree.growth import growth_default
from woodlot.units import basal_sqft

__all__ = [
    "Projection",
    "class_of",
    "classes",
    "in_year",
    "mortality_share",
    "outside_band",
    "project",
    "relative_density",
    "to_array",
]

BLOCK = 1250
PER_100 = 100.0
#: Takes trees (species, class, stand) and the basal area to leave (stand); gives the trees cut.
Marker = Callable[[np.ndarray, np.ndarray, slice], np.ndarray]


@dataclass(frozen=True)
class Projection:
    """Stands after some years, and the account of each year.

    trees: (species, class, stand) at the end. At the start and after each year, arrays (years + 1, stand): basal [sq
    ft/ac], stems [trees/ac], density (relative), and ``worth`` name -> amount per acre. For each year, (years, stand)
    in sq ft/ac: survivor, ingrowth, mortality, cut; ``stems_in`` [trees/ac]; ``taken`` name -> amount per acre cut.
    """

    trees: np.ndarray
    basal: np.ndarray
    stems: np.ndarray
    density: np.ndarray
    survivor: np.ndarray
    ingrowth: np.ndarray
    mortality: np.ndarray
    cut: np.ndarray
    stems_in: np.ndarray
    stems_out: np.ndarray
    worth: dict[str, np.ndarray] = field(default_factory=dict)
    taken: dict[str, np.ndarray] = field(default_factory=dict)


def classes(number: int | None = None, *, region: Region) -> np.ndarray:
    """Middle of each diameter class [in]: 6, 8, 10 ... ; class 6 holds 5.0 to 6.9 in, the last one all larger trees."""
    count = int(growth_default("classes", region=region)) if number is None else number
    return growth_default("least_class_in", region=region) + growth_default(
        "class_width_in", region=region
    ) * np.arange(count)


def class_of(dbh_in: np.ndarray, *, region: Region) -> np.ndarray:
    """Position of each diameter in ``classes``; -1 below the smallest."""
    sizes = classes(region=region)
    width = growth_default("class_width_in", region=region)
    at = np.floor((np.asarray(dbh_in, dtype=float) - sizes[0] + width / 2.0) / width)
    return np.clip(np.where(np.isnan(at), -1, at), -1, len(sizes) - 1).astype(int)


def to_array(rows: pd.DataFrame, stand_ids: Sequence[str], species: Sequence[str], *, region: Region) -> np.ndarray:
    """A stand table as trees per acre (species, class, stand).

    ``rows`` is ``plots.stand_table``: stand_id, species, class_in, trees_per_ac. Trees under the smallest class and
    those without a class (counted in a stand where none was measured) are left out.
    """
    at = class_of(rows["class_in"].to_numpy(dtype=float), region=region)
    s = pd.Index(list(species)).get_indexer(pd.Index(rows["species"]))
    k = pd.Index([str(i) for i in stand_ids]).get_indexer(pd.Index(rows["stand_id"].astype(str)))
    many = rows["trees_per_ac"].to_numpy(dtype=float)
    good = (at >= 0) & (s >= 0) & (k >= 0) & np.isfinite(many)
    out = np.zeros((len(species), len(classes(region=region)), len(stand_ids)))
    np.add.at(out, (s[good], at[good], k[good]), many[good])
    return out


def mortality_share(dbh_in: np.ndarray, *, region: Region) -> np.ndarray:
    """Share of trees of a size that die in a year in an uncrowded stand (growth_mortality.csv)."""
    rows = region.table("growth_mortality")
    starts = rows["from_dbh_in"].to_numpy(dtype=float)
    return rows["annual_share"].to_numpy(dtype=float)[np.searchsorted(starts, dbh_in, side="right") - 1]


def project(
    trees_per_ac: np.ndarray,
    equations: np.ndarray,
    years: int,
    *,
    wood_sg: np.ndarray,
    factor: np.ndarray | None = None,
    saplings_per_ac: np.ndarray | None = None,
    seed_shares: np.ndarray | None = None,
    deaths: np.ndarray | None = None,
    leave_sqft: np.ndarray | None = None,
    mark: Marker | None = None,
    worth: Mapping[str, np.ndarray] | None = None,
    as_measured: bool = False,
    block: int = BLOCK,
    region: Region,
) -> Projection:
    """Let stands grow.

    Parameters
    ----------
    trees_per_ac
        Trees per acre (species, class, stand), classes as ``classes``.
    equations
        b0, b1, b2 of diameter growth by species (species, 3), ``tree.growth.equations``.
    years
        Number of years [yr].
    wood_sg
        Specific gravity of each species' wood (relative density).
    factor
        What cores put on growth (species, stand), or year by year (years or more, species, stand); None for 1.
    saplings_per_ac
        Stems of 2.0 to 4.9 in (stand) [trees/ac]; NaN or None where nobody counted them. 0 means no ingrowth at all.
    seed_shares
        Species of ingrowth (species, stand) where a stand has no small trees; None for all alike.
    deaths
        More deaths a year by species and stand (dying ash), or year by year as ``factor``, as shares; None for none.
    leave_sqft
        Basal area to leave in the winter before each year (years, stand) [sq ft/ac]; NaN for no cut.
    mark
        Which trees go when a stand is cut; None takes the same share of all.
    worth
        Name -> what one tree holds (species, class); sums are kept for every year.
    as_measured
        Whether these are stands of the kind in which the class shares of death were measured (oak, hickory, cherry,
        red maple): the shares then already hold the crowding of those stands.
    block
        Stands worked at a time.
    region
        Whose figures are used.

    Returns
    -------
    ``Projection``.

    Notes
    -----
    With b = basal area of a class and BAL half its own and all of larger classes: growth = exp(b0 + b1 ln d + b2
    BAL/100); deaths = class share x (1 + 5 (RD - .6)) where RD is above .6, at most .5; with ``as_measured`` over 1.21,
    the mean of that multiplier where the shares were measured; a share growth/2 of survivors moves up a class;
    ingrowth into the smallest class exp(1.920 - .0085 B), at most 5, or with saplings S exp(-2.497 - .01117 B + .911
    ln(S + 1)), shared out as the stems of the two smallest classes are. The last class keeps what reaches it. Source:
    forest growth defaults (defaults_growth.csv, growth_mortality.csv).
    """
    n = np.array(trees_per_ac, dtype=float)
    species, count, stands = _checked(n, equations, wood_sg, years)
    worth = {k: np.asarray(v, dtype=float).reshape(species, count) for k, v in (worth or {}).items()}
    account = _Account(years, stands, worth)
    model = _Model(
        np.asarray(equations, dtype=float), np.asarray(wood_sg, dtype=float), count, as_measured, region=region
    )
    for start in range(0, stands, block):
        part = slice(start, min(start + block, stands))
        some = np.ascontiguousarray(n[:, :, part])
        model.enter(
            some,
            _part(factor, part),
            None if saplings_per_ac is None else np.asarray(saplings_per_ac, dtype=float)[part],
            _part(seed_shares, part),
            _part(deaths, part),
        )
        for year in range(years):
            if leave_sqft is not None:
                some = _cut(some, leave_sqft[year, part], mark, part, year, account, model.b)
            model.step(some, account, year, part)
        account.state(years, part, some, model)
        n[:, :, part] = some
    return Projection(trees=n, **account.result())


def in_year(values: np.ndarray, year: int, axes: int) -> np.ndarray:
    """What holds in a year of values that are alike in all years (so many axes) or have years as their first axis."""
    return values if values.ndim == axes else values[year]


def _part(values: np.ndarray | None, part: slice) -> np.ndarray | None:
    return None if values is None else np.asarray(values, dtype=float)[..., part]


def _checked(n: np.ndarray, equations: np.ndarray, wood_sg: np.ndarray, years: int) -> tuple[int, int, int]:
    if n.ndim != 3:
        raise InputError(f"trees per acre are wanted as (species, class, stand), not {n.ndim} axes")
    if np.any(n < 0) or not np.all(np.isfinite(n)):
        raise InputError("trees per acre must be 0 or more")
    if np.shape(equations) != (n.shape[0], 3) or np.shape(wood_sg) != (n.shape[0],):
        raise InputError(f"equations (species, 3) and wood_sg (species) are wanted for {n.shape[0]} species")
    if years < 0:
        raise InputError(f"years must be 0 or more, not {years!r}")
    return n.shape


class _Account:
    """Room for what is kept of each year; in one piece, which the system hands out in large pages."""

    def __init__(self, years: int, stands: int, worth: Mapping[str, np.ndarray]):
        states = ("basal", "stems", "density")
        flows = ("survivor", "ingrowth", "mortality", "cut", "stems_in", "stems_out")
        room = np.zeros((len(states) + len(flows), years + 1, stands))
        self.of_state = dict(zip(states, room, strict=False))
        self.of_year = dict(zip(flows, room[len(states) :, :years], strict=True))
        self.weights = worth
        self.worth = {k: np.zeros((years + 1, stands)) for k in worth}
        self.taken = {k: np.zeros((years, stands)) for k in worth}

    def state(self, year: int, part: slice, n: np.ndarray, model: "_Model") -> None:
        in_class = n.sum(axis=0)
        self.of_state["basal"][year, part] = model.b @ in_class
        self.of_state["stems"][year, part] = in_class.sum(axis=0)
        self.of_state["density"][year, part] = model.density(n)
        for name, one in self.weights.items():
            self.worth[name][year, part] = np.tensordot(one, n, axes=2)

    def result(self) -> dict:
        return {**self.of_state, **self.of_year, "worth": self.worth, "taken": self.taken}


class _Model:
    """The figures of one run and its working arrays, made once a block.

    Only classes that trees can have reached are worked. Growth rates are worked in single precision (seven digits of a
    figure known to a tenth), trees and accounts in double: such an exponential takes a third of the time.
    """

    def __init__(self, equations: np.ndarray, wood_sg: np.ndarray, count: int, as_measured: bool, *, region: Region):
        sizes = classes(count, region=region)
        self.b = basal_sqft(sizes)
        self.up_b = np.append(np.diff(self.b), 0.0)
        usual = mortality_share(sizes, region=region)
        if as_measured:
            usual = usual / growth_default("crowding_where_measured", region=region)
        self.usual = usual[:, None]
        #: Basal area, stems, and what of both dies in an uncrowded year, from trees by class.
        self.rows = np.vstack([self.b, np.ones(count), self.b * usual, usual])
        self.wood_density = np.asarray(relative_density_ducey_2010(sizes[0], 1.0, wood_sg, region=region))
        size_density = relative_density_ducey_2010(sizes, 1.0, 1.0, region=region)
        self.size_density = size_density / size_density[0]
        shapes, shape_of = np.unique(equations[:, 1:], axis=0, return_inverse=True)
        self.shape_of = slice(None) if len(shapes) == 1 else np.ravel(shape_of)
        above = np.triu(np.ones((count, count)), 1) + 0.5 * np.eye(count)
        self.bal = np.stack([above * self.b * (b2 / PER_100) for _, b2 in shapes]).astype(np.float32)
        self.ln_size = np.stack([b1 * np.log(sizes)[:, None] for b1, _ in shapes]).astype(np.float32)
        self.rate = np.exp(equations[:, 0]) / growth_default("class_width_in", region=region)
        self.crowd_from, self.crowd_slope = (
            growth_default("crowding_from", region=region),
            growth_default("crowding_slope", region=region),
        )
        self.most_crowd = growth_default("most_mortality", region=region) / usual.max()
        self.plain = tuple(growth_default(f"ingrowth_{k}", region=region) for k in ("b0", "b1", "most"))
        self.young = tuple(growth_default(f"ingrowth_saplings_b{k}", region=region) for k in range(3))

    def enter(self, n, factor, saplings, seeds, deaths) -> None:
        """Make room for the stands ``n``."""
        species, count, stands = n.shape
        self.reach = int(np.flatnonzero(n.any(axis=(0, 2))).max(initial=0)) + 1
        self.g = self.rate[:, None, None] * (1.0 if factor is None else factor[..., None, :])
        self.fast = self.g.max(initial=0.0) * np.exp(self.ln_size.max()) > 1.0
        self.saplings, self.deaths = saplings, deaths
        self.seeds = np.full((species, stands), 1.0 / species) if seeds is None else seeds
        self.in_class, self.stay = np.empty((2, count, stands))
        self.pace = np.empty((len(self.bal), count, stands))
        self.single = np.empty(self.pace.shape, dtype=np.float32)
        self.in_single = np.empty((count, stands), dtype=np.float32)
        self.up = np.empty((species, count, stands))

    def density(self, n: np.ndarray) -> np.ndarray:
        return self.wood_density @ (self.size_density[: n.shape[1]] @ n)

    def step(self, whole: np.ndarray, account: _Account, year: int, part: slice) -> None:
        """One year, in place."""
        for name, one in account.weights.items():
            account.worth[name][year, part] = np.tensordot(one, whole, axes=2)
        at = self.reach = min(self.reach + 1, len(self.b))
        n, up, stay = whole[:, :at], self.up[:, :at], self.stay[:at]
        in_class = np.add.reduce(n, axis=0, out=self.in_class[:at])
        basal, stems, dead, out = self.rows[:, :at] @ in_class
        density = self.density(n)
        account.of_state["basal"][year, part] = basal
        account.of_state["stems"][year, part] = stems
        account.of_state["density"][year, part] = density
        into = self.ingrowth(basal)
        new = self.shares(n, in_class) * into
        crowding = np.maximum(1.0, 1.0 + self.crowd_slope * (density - self.crowd_from))
        np.minimum(crowding, self.most_crowd, out=crowding)
        dead *= crowding
        out *= crowding
        np.multiply(self.usual[:at], crowding, out=stay)
        np.subtract(1.0, stay, out=stay)
        pace = self.growing(in_class)
        n *= stay
        if self.deaths is not None:
            np.multiply(n, in_year(self.deaths, year, 2)[:, None], out=up)
            more = self.rows[:2, :at] @ up.sum(axis=0)
            dead += more[0]
            out += more[1]
            n -= up
        np.multiply(n, pace, out=up)
        up *= in_year(self.g, year, 3)
        if self.fast:
            np.minimum(up, n, out=up)
        n -= up
        n[:, 1:] += up[:, :-1]
        n[:, 0] += new
        account.of_year["survivor"][year, part] = (self.up_b[:at] @ up).sum(axis=0)
        account.of_year["mortality"][year, part] = dead
        account.of_year["ingrowth"][year, part] = into * self.b[0]
        account.of_year["stems_in"][year, part] = into
        account.of_year["stems_out"][year, part] = out

    def growing(self, in_class: np.ndarray) -> np.ndarray:
        """Growth by shape of equation and class, before each species' own rate; none out of the last class."""
        at = len(in_class)
        pace, single, trees = self.pace[:, :at], self.single[:, :at], self.in_single[:at]
        np.copyto(trees, in_class, casting="same_kind")
        np.matmul(self.bal[:, :at, :at], trees, out=single)
        single += self.ln_size[:, :at]
        np.exp(single, out=single)
        np.copyto(pace, single)
        pace[:, -1] = 0.0
        return pace[self.shape_of]

    def ingrowth(self, basal: np.ndarray) -> np.ndarray:
        usual = np.minimum(self.plain[2], np.exp(self.plain[0] + self.plain[1] * basal))
        if self.saplings is None:
            return usual
        known = np.isfinite(self.saplings)
        count = np.where(known, self.saplings, 1.0)
        by_saplings = np.exp(self.young[0] + self.young[1] * basal + self.young[2] * np.log1p(count))
        return np.where(known, np.where(count > 0, np.minimum(self.plain[2], by_saplings), 0.0), usual)

    def shares(self, n: np.ndarray, in_class: np.ndarray) -> np.ndarray:
        """Species of ingrowth: as the stems of the two smallest classes are."""
        small = n[:, 0] + n[:, 1]
        whole = in_class[0] + in_class[1]
        some = whole > 0
        return small / whole if some.all() else np.where(some, small / np.where(some, whole, 1.0), self.seeds)


def _cut(
    n: np.ndarray, leave: np.ndarray, mark: Marker | None, part: slice, year: int, account: _Account, b: np.ndarray
) -> np.ndarray:
    if np.isnan(leave).all():
        return n
    goal = np.where(np.isnan(leave), np.inf, leave)
    if mark is None:
        basal = b @ n.sum(axis=0)
        share = np.clip(1.0 - goal / np.where(basal > 0, basal, 1.0), 0.0, 1.0)
        away = n * np.where(basal > 0, share, 0.0)
    else:
        away = mark(n, goal, part)
    account.of_year["cut"][year, part] = b @ away.sum(axis=0)
    for name, one in account.weights.items():
        account.taken[name][year, part] = np.tensordot(one, away, axes=2)
    return n - away


def outside_band(
    names: Sequence[str],
    growth_pct: np.ndarray,
    net_sqft: np.ndarray,
    basal_sqft_per_ac: np.ndarray,
    density: np.ndarray,
    backed: np.ndarray,
    *,
    region: Region,
) -> list[Reason]:
    """Stands outside the band of published results; one Reason for each thing, missing figures are left out.

    Parameters
    ----------
    names
        Of the stands, as they are to be said.
    growth_pct, net_sqft
        Net growth a year, of stock [%] and in basal area [sq ft/ac].
    basal_sqft_per_ac, density
        Basal area and relative density today.
    backed
        Whether enough cores stand behind the growth.
    region
        Whose figures are used.
    """
    low, high, fast, dense, thick = (
        growth_default(name, region=region)
        for name in ("least_growth_pct", "most_growth_pct", "most_net_sqft", "most_relative_density", "most_basal_sqft")
    )
    outside = (
        ("slow", low, growth_pct < low),
        ("fast", high, growth_pct > high),
        ("fast without cores", fast, (net_sqft > fast) & ~backed),
        ("dense", dense, density > dense),
        ("thick", thick, basal_sqft_per_ac > thick),
    )
    ids = np.array(list(names), dtype=object)
    return [
        reason("outside the band", what=what, bound=float(bound), stands=tuple(ids[which]))
        for what, bound, which in outside
        if which.any()
    ]


def relative_density(trees_per_ac: np.ndarray, wood_sg: np.ndarray, *, region: Region) -> np.ndarray:
    """Relative density (stand) of trees per acre (species, class, stand): 1 is as dense as the mix can be."""
    sizes = classes(trees_per_ac.shape[1], region=region)
    one = np.asarray(
        relative_density_ducey_2010(sizes[None, :], 1.0, np.asarray(wood_sg, dtype=float)[:, None], region=region)
    )
    return np.tensordot(one, trees_per_ac, axes=2)
